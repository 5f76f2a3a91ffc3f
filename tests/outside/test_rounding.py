"""Money to the minor unit, and sales tax forward and backed out, against the rules of tax offices and a price step."""

# Left out: change rounded to the nearest 0.05 or whole krona when a bill is paid in cash (Budget 2012 Canada;
# Australian GST Regulations 2019, 168-5.11). netprice prices an order and knows nothing of how it is paid; only the
# card totals of the Canadian example are checked. Intermediates kept at four places (USPS, Domestic Mail Manual
# P013, 2003): netprice keeps them exactly.

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.span import Span
from netprice.book.product import Prices
from netprice.errors import QuantityError
from netprice.money import Rounding, minor_digits, round_to_whole
from tests.build import priced, sold, tax, terms

ISO = {
    0: "JPY KRW ISK CLP VND PYG XAF XOF XPF UGX",
    2: "USD EUR GBP CHF SEK HUF NOK DKK CAD AUD NZD CZK PLN MXN INR CNY",
    3: "KWD BHD IQD TND JOD OMR LYD",
    4: "CLF UYW",
}


def cents(amount: str) -> Fraction:
    return Fraction(amount) * 100


def to_cents(amount: str, rule: Rounding = "half-up") -> int:
    return round_to_whole(cents(amount), rule)


def taxed(price: str, rate: str, mode: str = "on-top", **more: Any) -> tuple[str, str, str]:
    """Return tax, net sales and what the buyer pays, for one unit unless `quantity` says otherwise."""
    quantity = more.pop("quantity", 1)
    order = terms(quantity=quantity, tax=tax(rate, mode, **more))
    what = sold(order, int(cents(price)))
    return f"{what.tax / 100:.2f}", f"{what.net_sales / 100:.2f}", f"{what.buyer_total / 100:.2f}"


# ISO 4217, list one, minor units, SIX on behalf of ISO (read as data converted from the list): USD, EUR, GBP, CHF,
# SEK, HUF, JPY, KRW, ISK, CLP, KWD, BHD, IQD, TND, CLF and UYW. The other codes are from memory of the same list.
@pytest.mark.parametrize(
    ("digits", "code"), [(digits, code) for digits, codes in ISO.items() for code in codes.split()]
)
def test_a_currency_has_the_minor_digits_of_iso_4217(digits: int, code: str) -> None:
    assert minor_digits(code) == digits


# ISO 4217, list one, SIX on behalf of ISO (gold read; silver and the testing code from memory): no minor unit.
@pytest.mark.parametrize("code", ["XAU", "XAG", "XTS"])
def test_a_code_without_a_minor_unit_is_no_currency_to_sell_in(code: str) -> None:
    with pytest.raises(QuantityError):
        minor_digits(code)


# Unicode CLDR, currency fractions for cash, Unicode Consortium, 2025 (read through a locale library): CHF and CAD
# 0.05, DKK 0.50, SEK and NOK whole units. The cost of 12.31 is made up; the price is the next multiple of the step.
@pytest.mark.parametrize(
    ("currency", "step", "price"),
    [("CHF", "0.05", 1235), ("CAD", "0.05", 1235), ("DKK", "0.50", 1250), ("SEK", "1", 1300), ("NOK", "1", 1300)],
)
def test_a_price_step_of_the_smallest_coin_gives_prices_that_can_be_paid_in_cash(
    currency: str, step: str, price: int
) -> None:
    within = Span.of(Prices(step=Fraction(step)), digits=minor_digits(currency))
    assert priced(terms(cost=1231, currency=currency), "break-even", within).lowest_price == price


# P013 Rate Application and Computation, Domestic Mail Manual of 10 Aug 2003, USPS (read).
def test_postal_rounding_off_is_half_up_and_postal_rounding_up_is_up() -> None:
    assert [to_cents("3.376"), to_cents("3.374")] == [338, 337]
    assert [to_cents("3.3701", "up"), to_cents("3.379", "up")] == [338, 338]


# Rounding rules, euro information site of Slovenia's public bodies, evro.si (read).
def test_the_euros_statutory_rule_is_half_up() -> None:
    assert [to_cents("24.784"), to_cents("24.785")] == [2478, 2479]


# Lag (1970:1029) om avrundning av vissa oeresbelopp, as amended by SFS 2009:283, Sweden (rule read, figures derived).
def test_swedish_amounts_go_to_the_whole_krona_half_up() -> None:
    assert [round_to_whole(Fraction(each), "half-up") for each in ("10.49", "10.50")] == [10, 11]


# Decimal fractions in binary floating point, The Python Tutorial, section 15, Python Software Foundation (from
# memory, recomputed): the nearest float lies below 2.675.
def test_a_tie_goes_up_because_no_binary_float_is_in_the_way() -> None:
    assert to_cents("2.675") == 268
    assert f"{round(2.675, 2)}" == "2.67"


# Streamlined Sales and Use Tax Agreement, section 324, as enacted in R.I. Gen. Laws 44-18.1-25 (rule read, figures
# from copies; the goods of 12.34 and 12.35 at 10 % are made up to give them).
def test_sales_tax_goes_up_when_the_third_decimal_is_over_four() -> None:
    assert [to_cents("1.234"), to_cents("1.235")] == [123, 124]
    assert [taxed("12.34", "10 %")[0], taxed("12.35", "10 %")[0]] == ["1.23", "1.24"]


# Streamlined Sales and Use Tax Agreement, section 324 (rule read: the seller may round by item or by invoice; the
# single item is from a copy, the rest derived): 3 x round(0.686875) = 3 x 0.69, and round(2.060625).
def test_tax_rounded_by_item_and_by_invoice_differ_by_a_cent() -> None:
    assert taxed("10.99", "6.25 %", quantity=3, rounded_per="unit")[0] == "2.07"
    assert taxed("10.99", "6.25 %", quantity=3, rounded_per="order")[0] == "2.06"


# Contemporary Mathematics, section 6.2, OpenStax, 2023 (read). The first total is printed as 464.87; 428.99 + 35.39
# is 464.38.
@pytest.mark.parametrize(
    ("price", "rate", "due", "total"),
    [
        ("428.99", "8.25 %", "35.39", "464.38"),
        ("34.88", "8.25 %", "2.88", "37.76"),
        ("499.00", "8.81 %", "43.96", "542.96"),
    ],
)
def test_sales_tax_is_added_on_top(price: str, rate: str, due: str, total: str) -> None:
    assert taxed(price, rate) == (due, price, total)


# Contemporary Mathematics, section 6.2, OpenStax, 2023 (read).
@pytest.mark.parametrize(
    ("total", "rate", "before"),
    [("36.56", "5.75 %", "34.57"), ("97.17", "4.25 %", "93.21"), ("467.64", "8.25 %", "432.00")],
)
def test_sales_tax_is_backed_out_of_a_total(total: str, rate: str, before: str) -> None:
    due, net, paid = taxed(total, rate, "inside")
    assert (net, paid) == (before, total)
    assert Fraction(due) == Fraction(total) - Fraction(before)


# Calculating VAT for VAT-inclusive and VAT-exclusive prices, HMRC (20 % and 5 % read); VAT fractions 1/6, 7/47,
# 3/23 and 1/21 reproduced under Crown copyright on accountants' pages (read as copies).
@pytest.mark.parametrize(
    ("price", "rate", "fraction", "due"),
    [
        ("120.00", "20 %", "1/6", "20.00"),
        ("117.50", "17.5 %", "7/47", "17.50"),
        ("115.00", "15 %", "3/23", "15.00"),
        ("60.00", "20 %", "1/6", "10.00"),
        ("80.00", "5 %", "1/21", "3.81"),
    ],
)
def test_the_vat_inside_a_price_is_the_vat_fraction_of_it(price: str, rate: str, fraction: str, due: str) -> None:
    assert taxed(price, rate, "inside")[0] == due
    assert to_cents(str(Fraction(price) * Fraction(fraction))) == cents(due)


# Calculating VAT for VAT-inclusive and VAT-exclusive prices, HMRC (read): 100 becomes 120 at 20 % and 105 at 5 %.
@pytest.mark.parametrize(("rate", "total"), [("20 %", "120.00"), ("5 %", "105.00")])
def test_vat_is_added_to_a_price_without_it(rate: str, total: str) -> None:
    assert taxed("100.00", rate)[2] == total


# A New Tax System (Goods and Services Tax) Act 1999, section 9-90, Australian Taxation Office (rule read, figures
# from copies): half a cent goes up. GST of 10 % on goods of 1.04 and 1.05 (made up) gives them.
def test_australian_gst_of_half_a_cent_goes_up() -> None:
    assert [taxed("1.04", "10 %")[0], taxed("1.05", "10 %")[0]] == ["0.10", "0.11"]


# Eliminating the penny, Budget 2012 Canada (read): 1.83 + 2.86 with 5 % GST by card. The second: Office de la
# protection du consommateur, Quebec, gives the rule (read); its figures are from a copy. See above for cash.
@pytest.mark.parametrize(("goods", "rate", "total"), [("4.69", "5 %", "4.92"), ("689.93", "12 %", "772.72")])
def test_a_canadian_total_paid_by_card_is_to_the_cent(goods: str, rate: str, total: str) -> None:
    assert taxed(goods, rate)[2] == total


# ISO 4217 list one, SIX, as the `iso4217` data package ships it: its own reader is the referee.
def test_every_currency_has_the_minor_units_that_the_list_gives_it() -> None:
    import iso4217

    known = {each.code: each.exponent for each in iso4217.Currency if each.exponent is not None}
    assert len(known) > 150
    assert {code: minor_digits(code) for code in known} == known
