"""What the buyer pays, with every amount worked out by hand. Prices and amounts are in cents."""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.book.shop import Channel, Discount, Extra, Shipping
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.sale import goods_of, shipping_charged
from netprice.ledger.terms import DiscountTerms
from netprice.money import Rounding
from tests.build import ends, extra, off, shipping, sold, tax, terms
from tests.build_book import book, product, settled


def test_goods_are_price_times_quantity_without_discounts() -> None:
    found = goods_of(terms(quantity=3), 1099, EXACT)
    assert (found.gross, found.discounts, found.goods) == (3297, (), 3297)


# 9.99 less 15 %: 1.4985 is 1.50, 8.49 left; less 10 %: 0.849 is 0.85, 7.64 left; less 2.00: 5.64.
def test_discounts_follow_one_another_and_each_is_rounded() -> None:
    found = goods_of(terms(discounts=[off("15 %"), off("10 %"), off(amount=200)]), 999, EXACT)
    assert (found.discounts, found.goods) == ((150, 85, 200), 564)


def test_a_fixed_discount_is_taken_once_an_order() -> None:
    assert goods_of(terms(quantity=3, discounts=[off(amount=200)]), 1000, EXACT).goods == 2800


@pytest.mark.parametrize(
    ("discounts", "taken"),
    [([off(amount=500)], (300,)), ([off("100 %"), off(amount=500)], (300, 0)), ([off(amount=300)], (300,))],
)
def test_a_discount_is_never_more_than_what_is_left(discounts: list[DiscountTerms], taken: tuple[int, ...]) -> None:
    found = goods_of(terms(discounts=discounts), 300, EXACT)
    assert (found.discounts, found.goods) == (taken, 0)


def test_a_storefronts_own_coupon_leaves_goods_and_tax_as_they_were() -> None:
    channel = Channel(discounts=(Discount(percent=Fraction(1, 2), paid_by="storefront"), Discount(amount=Fraction(1))))
    order = settled(book(product(), channel))
    assert sold(order, 1000).goods == 900


def test_the_flat_charge_is_the_first_unit_and_each_further_one() -> None:
    channel = Channel(shipping=Shipping(policy="flat", first=Fraction("5.90"), each_further=Fraction("1.25")))
    order = settled(book(product(), channel), quantity=4)
    assert sold(order, 1000).shipping == 590 + 3 * 125


# Free from 50.00 of goods after discounts: 49.99 pays, 50.00 and 50.01 do not.
@pytest.mark.parametrize(("goods", "charged"), [(4999, 590), (5000, 0), (5001, 0)])
def test_shipping_is_free_from_the_threshold_on(goods: int, charged: int) -> None:
    order = terms(shipping=shipping("free-from", flat=590, threshold=5000))
    assert shipping_charged(order, goods, 0, EXACT) == charged


def test_extras_and_tax_do_not_count_towards_free_shipping_and_discounts_do() -> None:
    policy = shipping("free-from", flat=590, threshold=5000)
    assert sold(terms(shipping=policy, extras=[extra(100)], tax=tax("20 %")), 4950).shipping == 590
    assert sold(terms(shipping=policy, discounts=[off(amount=1)]), 5000).shipping == 590
    assert sold(terms(shipping=policy, discounts=[off(amount=1)]), 5001).shipping == 0


def test_the_buyer_pays_the_label_and_handling_rounded_once() -> None:
    order = terms(shipping=shipping("label", handling="150.25"))
    assert shipping_charged(order, 1000, Fraction("640.25"), EXACT) == 791  # 6.4025 + 1.5025 = 7.905


def test_the_buyer_pays_a_rounded_share_of_the_label() -> None:
    order = terms(shipping=shipping("label-share", share="1/3"))
    assert shipping_charged(order, 1000, 650, EXACT) == 217  # 6.50 / 3 = 2.1667


def test_an_extra_paid_per_unit_is_rounded_once_per_unit() -> None:
    channel = Channel(
        extras={"name on it": Extra(amount=Fraction("1.005"), per="unit"), "card": Extra(amount=Fraction(2))}
    )
    order = settled(book(product(), channel), quantity=3)
    assert sold(order, 1000).extras == 3 * 101 + 200


# Goods 100.00, shipping 7.00, taxed wrap 3.00, 8.25 % on top: of 103.00 it is 8.4975, of 110.00 it is 9.075.
@pytest.mark.parametrize(("on_shipping", "due"), [(False, 850), (True, 908)])
def test_tax_on_top_is_rounded_once_on_all_that_is_taxed(on_shipping: bool, due: int) -> None:
    order = terms(
        shipping=shipping("flat", flat=700), extras=[extra(300, taxed=True)], tax=tax("8.25 %", on_shipping=on_shipping)
    )
    found = sold(order, 10000)
    assert (found.tax, found.buyer_total, found.net_sales) == (due, 11000 + due, 11000)


# The same with the tax inside: 8.25 / 108.25 of 103.00 is 7.8499, of 110.00 it is 8.3834.
@pytest.mark.parametrize(("on_shipping", "due"), [(False, 785), (True, 838)])
def test_tax_inside_is_taken_out_of_what_the_buyer_pays(on_shipping: bool, due: int) -> None:
    order = terms(
        shipping=shipping("flat", flat=700),
        extras=[extra(300, taxed=True)],
        tax=tax("8.25 %", "inside", on_shipping=on_shipping),
    )
    found = sold(order, 10000)
    assert (found.tax, found.buyer_total, found.net_sales) == (due, 11000, 11000 - due)


def test_an_extra_is_untaxed_unless_it_says_so() -> None:
    assert sold(terms(extras=[extra(300)], tax=tax("10 %")), 1000).tax == 100


# Three units of 1.05, one gift wrap of 0.25 a unit, shipping of 0.45, all taxed at 10 %: an order: 10 % of 3.15 +
# 0.75 + 0.45 = 0.435 -> 0.44        a line: 0.315, 0.075, 0.045 -> 0.32 + 0.08 + 0.05 = 0.45 a unit: 0.105 -> 0.11
# three times, 0.025 -> 0.03 three times, 0.045 -> 0.05: 0.33 + 0.09 + 0.05 = 0.47
@pytest.mark.parametrize(("rounded_per", "due"), [("order", 44), ("line", 45), ("unit", 47)])
def test_tax_is_rounded_per_order_per_line_or_per_unit(rounded_per: str, due: int) -> None:
    order = terms(
        quantity=3,
        shipping=shipping("flat", flat=45),
        extras=[extra(25, times=3, taxed=True)],
        tax=tax("10 %", on_shipping=True, rounded_per=rounded_per),
    )
    assert sold(order, 105).tax == due


# 8.5 % of 1.00 is 0.085, a tie; 8.1 % is 0.081.
@pytest.mark.parametrize(
    ("rule", "tie", "below"),
    [("half-up", 9, 8), ("half-even", 8, 8), ("half-down", 8, 8), ("up", 9, 9), ("down", 8, 8)],
)
def test_the_profiles_rounding_rule_decides(rule: Rounding, tie: int, below: int) -> None:
    assert sold(terms(tax=tax("8.5 %"), rounding=rule), 100).tax == tie
    assert sold(terms(tax=tax("8.1 %"), rounding=rule), 100).tax == below
    assert goods_of(terms(discounts=[off("8.5 %")], rounding=rule), 100, EXACT).discounts == (tie,)


# Goods 100.00, wrap 3.00 taxed, shipping 7.05 taxed, 5 % on top: 5.5025 -> 5.50. Without shipping 5.15 goes back.
def test_a_refund_without_shipping_gives_back_the_tax_on_the_rest() -> None:
    given = {"shipping": shipping("flat", flat=705), "extras": [extra(300, taxed=True)]}
    order = terms(**given, tax=tax("5 %", on_shipping=True))  # type: ignore[arg-type]
    found = sold(order, 10000)
    assert found.tax == 550
    assert (found.refunded_sales, found.refunded_tax) == (10300, 515)


def test_a_refund_with_shipping_gives_back_everything() -> None:
    order = terms(
        shipping=shipping("flat", flat=705),
        extras=[extra(300)],
        tax=tax("5 %", on_shipping=True),
        outcomes=ends(return_rate="1/10", refund_shipping=True),
    )
    found = sold(order, 10000)
    assert (found.refunded_sales, found.refunded_tax) == (found.net_sales, found.tax)


# 20 % inside: of 107.05 it is 17.8417 -> 17.84, of 100.00 it is 16.67; 83.33 of sales go back.
def test_a_refund_with_tax_inside_gives_back_net_sales_and_their_tax() -> None:
    order = terms(shipping=shipping("flat", flat=705), tax=tax("20 %", "inside", on_shipping=True))
    found = sold(order, 10000)
    assert (found.tax, found.refunded_tax, found.refunded_sales) == (1784, 1667, 8333)


def test_a_currency_without_minor_units_is_rounded_to_whole_ones() -> None:
    found = sold(terms(digits=0, currency="JPY", tax=tax("10 %")), 1985)
    assert (found.tax, found.buyer_total) == (199, 2184)
