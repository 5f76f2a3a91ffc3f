"""`netprice discount`: what it prints, its JSON, and how it ends."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.cli.test_answers import DAY, document, run


# The discount is the array in the search; here every step beside the greatest is an order of its own in the ledger.
@pytest.mark.parametrize(("more", "meets"), [("0", True), ("0.001", False)])
def test_the_ledger_agrees_with_the_greatest_discount(more: str, meets: bool) -> None:
    found = document("discount", "mug", "--channel", "web")["results"][0]
    off = (Decimal(found["greatest"]["percent"]["greatest"]) + Decimal(more)) * 100
    at = document("solve", "mug", "--channel", "web", "--discount", f"{off.normalize():f} %")["results"][0]
    # The price in use with this discount meets the target if it is no lower than the lowest that does.
    assert (Decimal(found["list_price"]) >= Decimal(at["lowest_price"])) == meets


def test_json_has_the_room_the_free_shipping_and_the_sale() -> None:
    found = document("discount", "mug", "--channel", "web", "--off", "20 %", "--share", "30 %")["results"][0]
    assert (found["product"], found["channel"], found["price_is"], found["status"]) == ("mug", "web", "in use", "met")
    assert set(found["greatest"]) == {"percent", "amount", "order"}
    assert set(found["greatest"]["percent"]) == {"greatest", "greatest_unbroken", "gaps"}
    sale = found["sale"]
    assert (sale["percent"], sale["share"], sale["paid_by"]) == ("0.2", "0.3", "shop")
    assert Decimal(sale["order"]["goods"]) == Decimal(found["list_price"]) * Decimal("0.8")
    for kind in ("contribution", "profit"):
        lost = Decimal("0.3") * (Decimal(sale[kind]["before"]) - Decimal(sale[kind]["after"]))
        share = Decimal(sale[kind]["more_orders_share"])
        assert abs(share * Decimal(sale[kind]["after"]) - lost) < Decimal("1e-9")


def test_a_rung_is_what_solve_gives_for_its_quantity() -> None:
    rungs = document("discount", "mug", "--channel", "web", "--ladder", "4")["results"][0]["rungs"]
    for rung in rungs:
        solved = document("solve", "mug", "--channel", "web", "--quantity", str(rung["quantity"]))["results"][0]
        assert rung["price"] == solved["lowest_price"]
    assert [Decimal(rung["price_never_up"]) for rung in rungs] == sorted(
        (Decimal(rung["price_never_up"]) for rung in rungs), reverse=True
    )


def test_a_bundle_counts_its_products() -> None:
    found = document("discount", "mug=2", "butter-dish", "mug", "--bundle", "--channel", "web")["results"][0]
    assert [(part["product"], part["units"]) for part in found["bundle"]] == [("mug", 3), ("butter-dish", 1)]
    listed = sum(Decimal(part["list_price"]) * part["units"] for part in found["bundle"])
    assert Decimal(found["list_price"]) == listed


# The large planter is not sold everywhere.
def test_a_bundle_is_sold_where_all_its_products_are() -> None:
    sold = [found["channel"] for found in document("discount", "mug", "large-planter", "--bundle")["results"]]
    planter = [found["channel"] for found in document("discount", "large-planter")["results"]]
    assert sold == planter


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("mug", "--channel", "web"), 0),
        (("butter-dish", "--channel", "web", "--price", "40"), 1),
        (("mug", "--channel", "web", "--ladder", "2"), 0),
        (("mug", "--channel", "gallery", "--ladder", "2", "--target", "margin 90 %"), 1),
        (("mug", "bud-vase", "--channel", "web", "--bundle", "--target", "margin 90 %"), 1),
    ],
)
def test_the_exit_code_tells_whether_any_discount_meets_the_target(words: tuple[str, ...], code: int) -> None:
    assert run("discount", *words, *DAY).returncode == code


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("mug", "--step", "0"), "the step: under 0.001 %"),
        (("mug", "--share", "30 %"), "a share of the orders is of no use without a discount"),
        (("mug", "--off", "much"), "the discount: no number (got 'much')"),
        (("mug", "--price", "ten"), "the price: no number (got 'ten')"),
        (("mug", "--storefront-pays"), "--storefront-pays says who pays for a discount"),
        (("mug", "--ladder", "1"), "a ladder of 1"),
        (("mug", "--ladder", "3", "--off", "5 %"), "--off does not go with --ladder"),
        (("mug", "--ladder", "3", "--bundle"), "--ladder does not go with --bundle"),
        (("mug", "--bundle", "--quantity", "2"), "--quantity does not go with --bundle"),
        (("mug", "--bundle", "--off", "5 %", "--share", "1/2"), "--share does not go with --bundle"),
        (("mug", "--packed-as", "mug.four"), "--packed-as names the box of a bundle"),
        (("mug=0", "--bundle"), "no number of units (got 'mug=0')"),
        (("mugg=2", "--bundle"), "no product is called 'mugg'"),
        (("mug", "--bundle", "--packed-as", "mug.ten"), "no box is called 'mug.ten'"),
    ],
)
def test_a_question_that_cannot_be_asked_gets_one_line_and_exit_2(words: tuple[str, ...], said: str) -> None:
    done = run("discount", *words, *DAY)
    assert (done.returncode, done.stdout, len(done.stderr.splitlines())) == (2, "", 1)
    assert done.stderr.startswith(said)


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize(
    "words",
    [
        ("mug", "large-planter", "--off", "20 %", "--share", "30 %"),
        ("pasta-bowl", "--ladder", "5"),
        ("mug=2", "bud-vase", "--bundle", "--off", "5"),
    ],
)
def test_text_fits_the_terminal(words: tuple[str, ...], columns: int) -> None:
    done = run("discount", *words, *DAY, columns=columns)
    assert done.stdout
    assert max(map(len, done.stdout.splitlines())) <= columns
