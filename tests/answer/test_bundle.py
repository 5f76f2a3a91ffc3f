"""Several products in one order, by hand. Amounts in cents."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.ask import PriceAsk
from netprice.answer.bundle import BundleAnswer, bundle, part_of
from netprice.answer.discount import ListPrice, Wanted, discount
from netprice.book.fee_profile import Fee
from netprice.book.product import Box, Breakage, Overhead, Product, Returns, Size
from netprice.book.rate_card import Insurance, Limits
from netprice.book.readers import read_target
from netprice.book.shop import Book, Channel, Delivery, Discount, Shipping
from netprice.errors import QuestionError
from netprice.ledger.measures import contribution, labour_hours, machine_hours
from netprice.ledger.order import order_ledger
from netprice.ledger.settle import Ask
from netprice.ledger.terms import Terms
from tests.build import frac
from tests.build_book import DAY, bought, card, labour, machine_time, packing, product, profile, shop

CUBE = ("20 cm", "20 cm", "20 cm")
SINGLE = packing(*CUBE, holds=1, cost=Fraction(1))
CRATE = packing(*CUBE, holds=4, cost=Fraction(3), empty_weight=Fraction(500))
MUG = product(bought={"blank": bought(6)}, packing={"single": SINGLE}, weight=Fraction(400))
VASE = product(bought={"blank": bought(12)}, packing={"tall": SINGLE, "crate": CRATE}, weight=Fraction(700))
# 10 % of the goods and 0.30 an order, 0.20 a listing; 5.00 of shipping and 2.00 for each further piece.
FEES = (
    Fee(name="sale", per="order", base="goods", percent=frac("10 %"), fixed=frac("0.30")),
    Fee(name="listing", per="listing", fixed=frac("0.20")),
)
WEB = Channel(
    fee_profile="profile",
    shipping=Shipping(policy="flat", first=Fraction(5), each_further=Fraction(2)),
    delivery=Delivery(rate_cards=("van",)),
)
PRICES = {"mug": 2000, "vase": 4000}


def shelf(channel: Channel = WEB, van: Any = None, fees: tuple[Fee, ...] = FEES, **more: Any) -> Book:
    """Return a shop with a mug of 20.00 and a vase of 40.00, and a van that takes any parcel for 4.00."""
    products = {"mug": MUG, "vase": VASE, **more.pop("products", {})}
    return Book(
        shop=shop(channels={"fair": channel}, **more),
        products=products,
        fee_profiles={"profile": profile(*fees)},
        rate_cards={"van": van or card({"all": [(50, 4)]})},
    )


def bundled(book: Book, counts: dict[str, int], packed_as: str | None = None, **more: Any) -> BundleAnswer:
    target = read_target(more.pop("target", "break-even"))
    asks = [Ask(product=name, channel="fair", on=DAY, quantity=units) for name, units in counts.items()]
    parts = [part_of(book, PriceAsk(ask, target), PRICES.get(ask.product)) for ask in asks]
    return bundle(book, parts, more.pop("wanted", Wanted()), packed_as)


def terms_of(book: Book, counts: dict[str, int], packed_as: str | None = None) -> Terms:
    return bundled(book, counts, packed_as).discount.terms


# Of no type, so that fractions can be held against whole cents in one line.
def profit_at_list(answer: BundleAnswer) -> Any:
    assert answer.discount.order is not None
    return answer.discount.order.now.profit


TWO_MUGS_AND_A_VASE = {"mug": 2, "vase": 1}


# Goods 80.00, shipping 5 + 2 + 2 = 9.00, fees 8.00 + 0.30 + 3 × 0.20 = 8.90, three labels 12.00, three boxes 3.00,
# making 24.00: 41.10 are left.
def test_one_order_of_several_products_is_charged_and_packed_once() -> None:
    found = bundled(shelf(), TWO_MUGS_AND_A_VASE)
    assert found.listed == 8000
    assert profit_at_list(found) == 4110
    assert found.discount.terms.product == "2 × mug + vase"
    assert [zone.packing.name for zone in found.discount.terms.zones] == ["2 × single (mug) + tall (vase)"]


# 41.10 less D, of which the storefront bears 10 %: 45.66. Then goods are 34.34 and their fee 3.43 (3.434): 34.34 + 9.00
# - 4.33 - 39.00 = 0.01. At 45.67 they are 34.33 and the fee 3.43: 0.00. At 45.68: 34.32, 3.43: -0.01.
def test_the_greatest_bundle_discount_leaves_just_the_target() -> None:
    found = bundled(shelf(), TWO_MUGS_AND_A_VASE).discount.order
    assert found is not None
    assert found.target.amount.greatest == 4567
    assert found.target.percent.greatest == frac("57 %")  # 45.60; 57.1 % is 45.68


# Apart: mugs 40 + 7 - 4.30 - 0.20 - 8 - 2 - 12 = 20.50, vase 40 + 5 - 4.30 - 0.20 - 4 - 1 - 12 = 23.50. Buyers pay
# 47.00 and 45.00 then; at 57 % off 34.40 and 9.00, 48.60 less.
def test_the_buyer_saves_the_discount_and_the_second_shipping_charge() -> None:
    found = bundled(shelf(), TWO_MUGS_AND_A_VASE)
    assert found.apart is not None
    assert (found.apart.profit, found.apart.buyer_pays) == (Fraction(4400), Fraction(9200))
    assert found.saves == 4860


# One label and one box of 3.00 instead of three of each: 41.10 + 8.00 + 0.00.
@pytest.mark.parametrize("box", ["vase.crate", "carton"])
def test_one_box_that_is_named_takes_one_label(box: str) -> None:
    carton = Box(length=Fraction(300), width=Fraction(300), height=Fraction(300), cost=Fraction(3))
    found = bundled(shelf(boxes={"carton": carton}), TWO_MUGS_AND_A_VASE, box)
    assert profit_at_list(found) == 4110 + 800


# 500 g of crate, two mugs of 400 g and a vase of 700 g are 2 kg: one gram over 2 kg costs 7.00 instead of 4.00.
@pytest.mark.parametrize(("mug", "label"), [(400, 4), (401, 7)])
def test_one_box_weighs_what_is_in_it(mug: int, label: int) -> None:
    heavier = replace(MUG, weight=Fraction(mug))
    book = shelf(van=card({"all": [(2, 4), (50, 7)]}), products={"mug": heavier})
    (zone,) = terms_of(book, TWO_MUGS_AND_A_VASE, "vase.crate").zones
    assert [quotes[0].rate for _, quotes in zone.packing.parcels] == [label * 100]


# A mug is a quarter of 80.00, the vase a half: at 1.00 for each started 10.00 they are insured for 2, 2 and 4.
def test_each_parcel_is_insured_for_its_part_of_the_price() -> None:
    insured = card({"all": [(50, 4)]}, insurance=Insurance(step=Fraction(10), price_per_step=Fraction(1)))
    terms = terms_of(shelf(van=insured), TWO_MUGS_AND_A_VASE)
    order = order_ledger(terms, Fraction(8000, 3))
    assert [label.premium for label in order.zones[0].labels] == [200, 200, 400]


# At 1.00 for each started 10.00 two mugs of 20.00 cost 8 + 2 + 4 = 14.00 one by one and 4 + 6.50 + 4 = 14.50 in a pair;
# two of 15.00 cost 8 + 2 + 4 = 14.00 and 4 + 6.50 + 3 = 13.50.
@pytest.mark.parametrize(
    ("price", "way"), [(8000, "2 × single (mug) + tall (vase)"), (6000, "pair (mug) + tall (vase)")]
)
def test_the_ways_of_packing_are_weighed_at_the_bundles_price(price: int, way: str) -> None:
    mug = replace(MUG, packing={"single": SINGLE, "pair": packing(*CUBE, holds=2, cost=Fraction("6.50"))})
    insured = card({"all": [(50, 4)]}, insurance=Insurance(step=Fraction(10), price_per_step=Fraction(1)))
    terms = terms_of(shelf(van=insured, products={"mug": mug}), TWO_MUGS_AND_A_VASE)
    assert order_ledger(terms, Fraction(price, 3)).zones[0].packing.name == way


# Handed over, and 2.75 for the drive there: once, without a box.
def test_a_flat_label_is_paid_once() -> None:
    channel = replace(WEB, delivery=Delivery(label_cost=Fraction("2.75"), handed_over=True))
    order = order_ledger(terms_of(shelf(channel), TWO_MUGS_AND_A_VASE), Fraction(8000, 3))
    assert (order.zones[0].label_cost, order.zones[0].order_cost) == (275, 0)


# Two mugs and a vase: 2 × 6 + 12 of material, 2 × 10 + 30 min of work at 24.00 an hour, 2 × 6 + 18 min at the wheel,
# 2 × 1.00 + 1.00 of rent; 0.50 and 0.70 for each order.
def test_costs_and_hours_add_up() -> None:
    rent = {"rent": Overhead(per_month=Fraction(100), planned_units=Fraction(100))}
    mug = product(
        bought={"blank": bought(6), "card": bought("0.50", per="order")}, labour={"throwing": labour("10 min", 24)},
        machine={"wheel": machine_time("6 min", 0)}, overhead=rent, packing={"single": SINGLE},
    )  # fmt: skip
    vase = product(
        bought={"blank": bought(12), "ribbon": bought("0.70", per="order")}, labour={"throwing": labour("30 min", 24)},
        machine={"wheel": machine_time("18 min", 0)}, overhead=rent, packing={"tall": SINGLE},
    )  # fmt: skip
    terms = terms_of(shelf(products={"mug": mug, "vase": vase}, fees=()), TWO_MUGS_AND_A_VASE)
    assert (terms.goods_cost, terms.order_cost) == (Fraction(2400 + 2000 + 300), Fraction(120))
    order = order_ledger(terms, Fraction(8000, 3))
    assert (machine_hours(terms), labour_hours(order)) == (Fraction(1, 2), Fraction(5, 6))
    # 80 + 9 - 12 of labels - 3 of boxes - 45.20, the rent left out.
    assert contribution(order) == 2880


# Of 100 bundles 10 come back as vases do, shipping refunded; 3 break as mugs do. Half of the 24.00 that they cost are
# mugs, so 50 % × 90 % + 50 % × 40 % of what comes back can be sold again.
def test_the_riskier_product_decides_how_an_order_ends() -> None:
    mug = replace(
        MUG,
        returns=Returns(rate=frac("2 %"), resellable=frac("90 %")),
        breakage=Breakage(rate=frac("3 %"), remedy="replace", recovered=frac("45 %")),
    )
    vase = replace(
        VASE,
        returns=Returns(rate=frac("10 %"), refund_shipping=True, label_paid_by="buyer", resellable=frac("40 %")),
        breakage=Breakage(rate=frac("1 %"), remedy="refund"),
    )
    ends = terms_of(shelf(products={"mug": mug, "vase": vase}), TWO_MUGS_AND_A_VASE).outcomes
    assert (ends.return_rate, ends.refund_shipping, ends.shop_pays_return_label) == (frac("10 %"), True, False)
    assert (ends.damage_rate, ends.replaces, ends.recovered) == (frac("3 %"), True, frac("45 %"))
    assert ends.resellable == frac("65 %")


# As many units in one order are the same whether they are called a bundle or not, but for the listing of each.
@pytest.mark.parametrize(("fees", "same"), [(FEES[:1], True), (FEES, False)])
def test_two_of_a_product_are_an_order_of_two_but_for_listings(fees: tuple[Fee, ...], same: bool) -> None:
    book = shelf(fees=fees)
    asked = PriceAsk(Ask(product="vase", channel="fair", on=DAY, quantity=2), read_target("break-even"))
    alone = discount(book, asked, ListPrice(4000, "in use"), Wanted())
    assert (bundled(book, {"vase": 2}).discount.order == alone.order) == same


def test_a_stated_discount_comes_off_the_bundle() -> None:
    found = bundled(shelf(), TWO_MUGS_AND_A_VASE, wanted=Wanted(off=Discount(percent=frac("25 %"))))
    assert found.discount.order is not None
    assert found.discount.order.sale is not None
    assert found.discount.order.sale.left.goods == 6000


# In an order of one p + 5 - (0.1 p + 0.30) - 0.20 - 4 - 1 - 6 = 0.1 × (p + 5) at p = 8.75, where the fee is 1.175,
# charged as 1.18. At 8.76 it is 1.18 as well, and 1.38 of 13.76 are over 10 %.
def test_a_product_without_a_list_price_is_counted_at_the_one_that_meets_the_target() -> None:
    book = shelf(products={"cup": MUG})
    assert bundled(book, {"cup": 2}, target="margin 10 %").listed == 2 * 876


@pytest.mark.parametrize(
    ("box", "said"),
    [
        ("chest", "no box is called 'chest'; there are: carton, mug.single, vase.tall, vase.crate"),
        ("vase.chest", "no box is called"),
        ("mug.single", "mug.single holds 1, not 2"),
        ("carton", "2 of mug do not fit in carton"),
    ],
)
def test_a_box_that_cannot_be_used_is_told(box: str, said: str) -> None:
    cube = Fraction(300)
    long = Size(length=Fraction(290), width=Fraction(200), height=Fraction(200))
    book = shelf(boxes={"carton": Box(length=cube, width=cube, height=cube)}, products={"mug": replace(MUG, size=long)})
    with pytest.raises(QuestionError, match=said):
        bundled(book, TWO_MUGS_AND_A_VASE, box)


# 20 × 20 × 30 of vase and 30 × 20 × 20 of mug fit one by one into 30 × 30 × 25, but are 24 of its 22.5 litres.
def test_products_with_more_volume_than_the_box_do_not_fit() -> None:
    size = Size(length=Fraction(300), width=Fraction(200), height=Fraction(200))
    sized: dict[str, Product] = {name: replace(made, size=size) for name, made in (("mug", MUG), ("vase", VASE))}
    low = Box(length=Fraction(300), width=Fraction(300), height=Fraction(250))
    with pytest.raises(QuestionError, match="more volume"):
        bundled(shelf(boxes={"low": low}, products=sized), {"mug": 1, "vase": 1}, "low")


def test_a_zone_that_one_of_the_products_cannot_be_sent_to_rules_the_bundle_out() -> None:
    wide = replace(VASE, packing={"tall": replace(SINGLE, length=Fraction(5000))})
    found = bundled(
        shelf(van=card({"all": [(50, 4)]}, limits=Limits(length=Fraction(3000))), products={"vase": wide}),
        {"mug": 1, "vase": 1},
    )
    assert (found.discount.order, found.discount.terms.unreached, found.apart) == (None, ("all",), None)
    assert [refusal.what for refusal in found.discount.terms.refusals] == ["length"]
