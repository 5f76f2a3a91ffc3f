"""What sales tax is charged on, against the rules of tax offices."""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.book.shop import Channel, Discount, Tax
from tests.build import extra, shipping, sold, tax, terms
from tests.build_book import book, product, settled

# At a rate of 100 % the tax is the taxable amount itself.
TAX_OF_ALL = "100 %"


# Shipping and Delivery Charges, Tax Bulletin ST-838, New York State Department of Taxation and Finance, 2012
# (read): delivery of taxable goods is taxable there.
def test_delivery_and_a_taxed_extra_are_part_of_the_taxable_amount_in_new_york() -> None:
    order = terms(
        extras=[extra(3_000, taxed=True, name="service contract")],
        shipping=shipping("flat", flat=2_000),
        tax=tax(TAX_OF_ALL, on_shipping=True),
    )
    assert sold(order, 49_995).tax == 54_995


# Tax Bulletin ST-838, New York State Department of Taxation and Finance, 2012 (read).
@pytest.mark.parametrize(("goods", "freight", "taxable"), [(3_500, 250, 3_750), (400, 100, 500)])
def test_freight_is_taxed_with_taxable_goods(goods: int, freight: int, taxable: int) -> None:
    order = terms(shipping=shipping("flat", flat=freight * 100), tax=tax(TAX_OF_ALL, on_shipping=True))
    assert sold(order, goods * 100).tax == taxable * 100


# The same bill where delivery is not taxed (common practice elsewhere, no source): the goods alone are taxable.
def test_freight_is_left_out_where_the_law_does_not_tax_it() -> None:
    order = terms(shipping=shipping("flat", flat=25_000), tax=tax(TAX_OF_ALL, on_shipping=False))
    assert sold(order, 350_000).tax == 350_000


def taxable(price: int, *discounts: Discount) -> int:
    channel = Channel(discounts=discounts, tax=Tax(mode="on-top", rate=Fraction(1)))
    amount: int = sold(settled(book(product(), channel)), price * 100).tax
    return amount


# Coupons, Discounts and Rebates, Publication 113, California CDTFA (rule read; the figures from a 2015 note on the
# older edition): a shop's coupon lowers the taxable amount, one that its issuer pays back does not.
@pytest.mark.parametrize(
    ("payers", "amount"), [(("shop",), 900), (("storefront",), 1_000), (("shop", "storefront"), 900)]
)
def test_only_a_coupon_that_the_shop_pays_for_lowers_the_taxable_amount(payers: tuple[str, ...], amount: int) -> None:
    coupons = [Discount(amount=Fraction(1), paid_by=payer) for payer in payers]  # type: ignore[arg-type]
    assert taxable(10, *coupons) == amount


# STAR document 200904303L, Texas Comptroller of Public Accounts, 2009 (read as a copy). There third parties'
# coupons lower the base as well; netprice does as Minnesota and Arizona do, below.
def test_a_percent_off_lowers_the_taxable_amount() -> None:
    assert taxable(150, Discount(percent=Fraction(10, 100))) == 13_500


# Discounts and Coupons, Minnesota Department of Revenue, and A.A.C. R15-5-129, Arizona Department of Revenue (both
# read): tax on the full price where a third party reimburses the seller, else on the reduced price. The figures are
# made up.
@pytest.mark.parametrize(("payer", "amount"), [("storefront", 8_000), ("shop", 6_000)])
def test_a_reimbursed_discount_is_taxed_in_full(payer: str, amount: int) -> None:
    assert taxable(80, Discount(percent=Fraction(1, 4), paid_by=payer)) == amount  # type: ignore[arg-type]
