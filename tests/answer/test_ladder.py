"""A price for each quantity, by hand. Amounts in cents."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from netprice.answer.ask import PriceAsk
from netprice.answer.ladder import Ladder, ladder
from netprice.book.product import Prices
from netprice.book.readers import read_target
from netprice.book.shop import Channel, Delivery, Shipping
from netprice.errors import QuestionError
from netprice.ledger.settle import Ask
from tests.build_book import DAY, book, bought, card, packing, product

# A van takes any parcel for 5.00.
VAN = {"van": card({"all": [(50, 5)]})}
BY_VAN = Channel(delivery=Delivery(rate_cards=("van",)))


def rungs(most: int, target: str = "break-even", *, channel: Channel = BY_VAN, **made: Any) -> Ladder:
    made.setdefault("packing", {"pair": packing("20 cm", "20 cm", "20 cm", holds=2)})
    whole = book(product(bought={"blank": bought(10)}, **made), channel, cards=VAN)
    return ladder(whole, PriceAsk(Ask(product="vase", channel="fair", on=DAY), read_target(target)), most)


# 10.00 each and 5.00 a parcel that holds two: 15.00, 12.50, 13.34 (two parcels for three), 12.50.
def test_each_rung_leaves_the_target_in_orders_of_its_quantity() -> None:
    found = rungs(4)
    assert [rung.price for rung in found.rungs] == [1500, 1250, 1334, 1250]
    assert [rung.off for rung in found.rungs] == [0, Fraction(1, 6), 1 - Fraction(1334, 1500), Fraction(1, 6)]
    assert [rung.packed_as for rung in found.rungs] == [("pair",), ("pair",), ("2 × pair",), ("2 × pair",)]


# The third needs a second parcel. Where two cost 13.34 as well the ladder never goes up.
def test_a_dearer_rung_lifts_those_before_it_in_the_ladder_that_never_goes_up() -> None:
    found = rungs(4)
    assert [rung.dearer for rung in found.rungs] == [False, False, True, False]
    assert [rung.even for rung in found.rungs] == [1500, 1334, 1334, 1250]
    assert found.rungs[1].even_off == 1 - Fraction(1334, 1500)
    assert (found.goes_up, found.complete) == (True, True)


# With 5.00 a parcel of any number the rungs fall by themselves: 10.00 + 5.00 / n.
def test_a_ladder_that_falls_is_its_own_even_ladder() -> None:
    found = rungs(4, packing={"trunk": packing("20 cm", "20 cm", "20 cm", holds=4)})
    assert [rung.price for rung in found.rungs] == [1500, 1250, 1167, 1125]
    assert [rung.even for rung in found.rungs] == [1500, 1250, 1167, 1125]
    assert not found.goes_up


# 1.00 a vase is wanted, 9.00 the label, and 9.00 is charged for it below 60.00 of goods. Five leave it from 11.00 on,
# but from 12.00 on they are sent free, and 12.80 is needed. Six are sent free from 10.00 on and need 12.50: below they
# leave less. So 12.50 for six would put five into their trap, and 12.80 holds for all before.
def test_the_even_ladder_steps_over_a_price_trap() -> None:
    channel = Channel(
        delivery=Delivery(label_cost=Fraction(9)),
        shipping=Shipping(policy="free-from", threshold=Fraction(60), first=Fraction(9)),
    )
    found = rungs(6, "profit 1", channel=channel)
    assert [rung.price for rung in found.rungs] == [1100, 1100, 1100, 1100, 1100, 1250]
    assert [rung.even for rung in found.rungs] == [1280, 1280, 1280, 1280, 1280, 1250]


# The van's 5.00 leave nothing below 15.00 for one; up to 13.00 two and four can be sold, three not.
def test_a_quantity_without_a_price_is_left_out_of_the_even_ladder() -> None:
    found = rungs(4, prices=Prices(highest=Fraction(13)))
    assert [rung.price for rung in found.rungs] == [None, 1250, None, 1250]
    assert [rung.even for rung in found.rungs] == [None, 1250, None, 1250]
    assert [rung.off for rung in found.rungs] == [None] * 4
    assert (found.complete, found.goes_up) == (False, False)


# Four cannot be packed where a parcel takes at least and at most three.
def test_a_quantity_that_cannot_be_packed_is_refused() -> None:
    threes = {"three": packing("20 cm", "20 cm", "20 cm", holds=3, at_least=3)}
    assert [rung.answer.status for rung in rungs(4, packing=threes).rungs] == ["refused", "refused", "met", "refused"]


@pytest.mark.parametrize("most", [1, 25])
def test_a_ladder_has_some_rungs_and_not_too_many(most: int) -> None:
    with pytest.raises(QuestionError, match="a ladder of"):
        rungs(most)
