"""What becomes of a folder: the book, or all problems of all files at once."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from pathlib import Path

import pytest

import netprice
from netprice.book.read import open_book, read_book
from netprice.book.readers import Purchase
from netprice.book.shipped import profile_names
from netprice.errors import InputError
from netprice.quantity import Measure

EXAMPLES = Path(__file__).parents[2] / "examples"


def told(folder: Path) -> list[str]:
    return [str(problem).removeprefix(f"{folder}/") for problem in read_book(folder).problems]


def append(path: Path, text: str) -> None:
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")


def test_a_book_holds_exactly_what_the_files_say(shop: Path) -> None:
    book = open_book(shop)

    assert book.shop.currency == "USD"
    assert book.shop.labour["making"].rate == 24
    # 25 lb = 25 × 453.59237 g
    assert book.shop.stock["clay"].price == Purchase(Fraction("27.5"), Measure(Fraction("11339.80925"), "mass"))
    assert book.products["mug"].labour["making"].time == Fraction(1, 3)
    assert book.fee_profiles["stall"].fees[0].percent == Fraction(1, 20)
    assert book.rate_cards["van"].rates["near"] == ((Fraction(1), Fraction("6.2")), (Fraction(5), Fraction("9.8")))


def test_a_decimal_is_never_a_binary_float(shop: Path) -> None:
    append(shop / "fee_profiles" / "stall.toml", "fixed = 0.1\nfrom = 2026-03-31\n")

    fee = open_book(shop).fee_profiles["stall"].fees[0]

    assert fee.fixed == Fraction(1, 10)
    assert fee.from_ == dt.date(2026, 3, 31)


def test_the_demo_and_the_starter_have_no_problems() -> None:
    from netprice.book.shipped import starter_folder

    assert told(EXAMPLES / "pottery") == []
    assert told(starter_folder()) == []


def test_all_problems_of_all_files_come_at_once_sorted_by_file_and_line(shop: Path) -> None:
    append(shop / "fee_profiles" / "stall.toml", "cap = 1\nminimum = 2\nmininum = 2\n")
    append(shop / "shop.toml", 'shipping = { policy = "flat" }\ncas = "worst"\nzones = { near = "90 %" }\n')
    (shop / "products" / "mug.toml").write_text('name = "Mug\n')
    (shop / "products" / "vase.toml").write_text('name = "Vase"\nweight = 3\n[labour.glazing]\ntime = "1 hour"\n')
    (shop / "rate_cards" / "van.toml").write_text('name = "Van"\nlength_unit = "in"\nweight_unit = "lb"\nrates = {}\n')

    assert told(shop) == [
        "fee_profiles/stall.toml:8: fees[1].cap: a cap under the minimum (got 1 under 2);"
        " raise the cap or lower the minimum",
        "fee_profiles/stall.toml:10: fees[1].mininum: unknown key (got 'mininum'); did you mean 'minimum'?",
        "products/mug.toml:1: a text that is not closed or a character that cannot stand there (got 'name = \"Mug');"
        " close the quotes",
        "products/vase.toml:2: weight: expected a weight such as '0.95 kg' (got 3);"
        " write a weight such as '0.95 kg' in quotes",
        "products/vase.toml:3: labour.glazing: no hourly rate: the shop has no [labour.default] and none of that name"
        " (got 'glazing'); write paid_as = 'making'",
        "rate_cards/van.toml:1: weight_step: missing key; add a line such as weight_step = 1",
        "rate_cards/van.toml:4: rates: no zones; add a zone, such as home = [[1, 6.20], [2, 8.40]]",
        "shop.toml:13: channels.fair.shipping.first: missing key: the policy 'flat' needs it; add first = ...",
        "shop.toml:14: channels.fair.cas: unknown key (got 'cas'); did you mean 'case'?",
        "shop.toml:15: channels.fair.zones: the shares do not add up to 100 % (got 90 %);"
        " change them so that they do; thirds are written '1/3'",
    ]


def test_a_mistake_is_not_told_a_second_time_by_the_rule_that_misses_the_key(shop: Path) -> None:
    """A misspelt percent leaves a fee without one; only the misspelling is told. What is right elsewhere is used."""
    (shop / "fee_profiles" / "stall.toml").write_text(
        'name = "Stall"\ncurrency = "USD"\n[[fees]]\nname = "sales"\nbase = "goods"\npercnt = "5 %"\n'
    )
    (shop / "shop.toml").write_text(
        'name = "Two Hands"\ncurrency = "USD"\ntarget = "margin 30 %"\nlabour.making.rate = "24"\n'
        'stock.clay.price = "27.50 USD"\nbuyers.zones = { near = "90", far = "10 %" }\nchannels.fair = {}\n'
    )

    assert [": ".join(line.split(": ")[:2]) for line in told(shop)] == [
        "fee_profiles/stall.toml:6: fees[1].percnt",
        "products/mug.toml:4: material.clay.quantity",
        "shop.toml:4: labour.making.rate",
        "shop.toml:6: buyers.zones.near",
    ]


def test_a_file_that_cannot_be_read_does_not_make_its_names_unknown(shop: Path) -> None:
    append(shop / "shop.toml", 'delivery = { rate_cards = ["van"] }\n')
    append(shop / "products" / "mug.toml", '[packing.box]\nlength = "6 in"\nwidth = "6 in"\nheight = "6 in"\n')
    (shop / "fee_profiles" / "stall.toml").write_text("name = ")
    (shop / "rate_cards" / "van.toml").write_text("name = ")

    assert [line.partition(":")[0] for line in told(shop)] == ["fee_profiles/stall.toml", "rate_cards/van.toml"]


def test_without_the_shop_file_nobody_says_what_it_would_have_said(shop: Path) -> None:
    (shop / "shop.toml").write_text("name")
    append(shop / "products" / "mug.toml", '[labour.glazing]\ntime = "1 kg"\n')

    assert [line.split(": ")[0] for line in told(shop)] == ["products/mug.toml:9", "shop.toml:1"]


def test_a_currency_that_nobody_knows_is_told_once_and_not_taken_for_another(shop: Path) -> None:
    (shop / "fee_profiles" / "stall.toml").write_text('name = "Stall"\ncurrency = "EURO"\n')
    assert [line.split(": ")[0] for line in told(shop)] == ["fee_profiles/stall.toml:2"]

    (shop / "fee_profiles" / "stall.toml").write_text('name = "Stall"\ncurrency = "EUR"\n')
    text = (shop / "shop.toml").read_text()
    (shop / "shop.toml").write_text(text.replace('"USD"', '"DOLLARS"'))
    assert [line.split(": ")[0] for line in told(shop)] == ["shop.toml:2"]


def test_without_channels_the_products_are_not_told_that_theirs_are_missing(shop: Path) -> None:
    text = (shop / "shop.toml").read_text()
    (shop / "shop.toml").write_text(text[: text.index("[channels")])
    (shop / "products" / "mug.toml").write_text('name = "Mug"\nchannels = ["fair"]\n')

    assert [line.split(": ")[:2] for line in told(shop)] == [["shop.toml:1", "channels"]]


def test_a_shipped_profile_is_found_by_name_and_only_then(shop: Path) -> None:
    assert "handmade-marketplace" in profile_names()
    assert set(open_book(shop).fee_profiles) == {"stall"}

    append(shop / "shop.toml", '[channels.market]\nfee_profile = "handmade-marketplace"\norders_per_month = 20\n')

    assert set(open_book(shop).fee_profiles) == {"stall", "handmade-marketplace"}


def test_a_profile_of_the_shop_goes_before_a_shipped_one(shop: Path) -> None:
    (shop / "fee_profiles" / "handmade-marketplace.toml").write_text('name = "Mine"\ncurrency = "USD"\n')
    append(shop / "shop.toml", '[channels.market]\nfee_profile = "handmade-marketplace"\n')

    assert open_book(shop).fee_profiles["handmade-marketplace"].name == "Mine"


@pytest.mark.parametrize("name", ["../products/mug", "/etc/passwd", "..", "a/b", "*"])
def test_a_profile_is_a_name_and_never_a_path(name: str, shop: Path) -> None:
    append(shop / "shop.toml", f'[channels.market]\nfee_profile = "{name}"\n')

    assert len(told(shop)) == 1
    assert f"no such fee profile (got '{name}')" in told(shop)[0]


def test_cents_mean_nothing_in_yen_but_are_no_mistake_of_a_product_sold_in_both(shop: Path) -> None:
    (shop / "fee_profiles" / "overseas.toml").write_text('name = "Overseas"\ncurrency = "JPY"\n')
    append(shop / "shop.toml", '[channels.far]\nfee_profile = "overseas"\nexchange_rate = 150\n')
    (shop / "products" / "mug.toml").write_text('name = "Mug"\nprices.endings = [".00", ".50"]\n')
    assert told(shop) == []

    (shop / "products" / "mug.toml").write_text('name = "Mug"\nprices.endings = [".50"]\n')

    assert told(shop) == [
        "products/mug.toml:2: prices.endings[1]: an ending that no price has in steps of 1 JPY (got 0.5);"
        " change the ending or the step"
    ]


def test_names_may_be_written_in_either_form_of_unicode(shop: Path) -> None:
    (shop / "fee_profiles" / "caf\u00e9.toml").write_text('name = "Caf\u00e9"\ncurrency = "USD"\n', encoding="utf-8")
    append(shop / "shop.toml", '[channels."caf\u0065\u0301"]\nfee_profile = "cafe\u0301"\nzones = { near = "50 %" }\n')

    assert [line.split(": ")[0] for line in told(shop)] == ["shop.toml:15"]


def test_open_book_raises_with_every_problem(shop: Path) -> None:
    append(shop / "shop.toml", "one = 1\ntwo = 2\n")

    with pytest.raises(InputError) as caught:
        open_book(shop)

    assert [problem.line for problem in caught.value.problems] == [13, 14]
    assert str(caught.value).count("\n") == 1
    assert isinstance(caught.value, netprice.NetpriceError)
    assert caught.value.exit_code == 2


def test_the_folder_is_shown_as_it_was_typed(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    append(shop / "shop.toml", "one = 1\n")
    monkeypatch.chdir(shop.parent)

    assert [problem.file for problem in read_book(Path("shop")).problems] == ["shop/shop.toml"]
    monkeypatch.chdir(shop)
    assert [problem.file for problem in read_book(Path()).problems] == ["shop.toml"]
