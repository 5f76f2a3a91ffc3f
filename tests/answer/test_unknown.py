"""An input as the unknown, worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from netprice.answer.ask import PriceAsk
from netprice.answer.inputs import find_input
from netprice.answer.unknown import Unknown, unknown
from netprice.book.fee_profile import Fee, Tier
from netprice.book.product import Product
from netprice.book.readers import read_target
from netprice.book.shop import Channel, Delivery
from netprice.errors import QuestionError
from netprice.ledger.settle import Ask
from tests.build import frac
from tests.build_book import DAY, batch, book, bought, card, labour, packing, product, profile

TEN_PERCENT = Fee(name="sale", base="goods", percent=frac("10 %"))


def of(*values: object) -> tuple[object, ...]:
    return values


def asked(target: str = "margin 30 %") -> PriceAsk:
    return PriceAsk(Ask("vase", "fair", DAY), target=read_target(target))


def found(made: Product, path: str, price: int, target: str = "margin 30 %", **more: object) -> Unknown:
    ends = {key: more.pop(key) for key in ("step", "low", "high") if key in more}
    fees = more.pop("profile", profile(TEN_PERCENT))
    whole = book(made, Channel(fee_profile="profile"), profile=fees, **more)
    return unknown(whole, asked(target), price, find_input(whole, asked().ask, path), **ends)  # type: ignore[arg-type]


def test_the_greatest_cost_at_a_price() -> None:
    # 20.00 less a fee of 2.00 less 30 % of 20.00 leaves 12.00 for the part.
    answer = found(product(bought={"part": bought(10)}), "bought.part.price", 2000)
    assert of(answer.direction, answer.reach, answer.unbroken, answer.holds_now) == ("greatest", 12, 12, True)


def test_the_greatest_time_in_its_own_step() -> None:
    # 12.00 at 24.00 an hour are 30 min; in steps of 7 min that is 28 min.
    made = product(labour={"throwing": labour("20 min", rate=24)})
    assert found(made, "labour.throwing.time", 2000).reach == Fraction(1, 2)
    assert found(made, "labour.throwing.time", 2000, step=Fraction(7, 60)).reach == Fraction(28, 60)


def test_the_smallest_share_of_good_pieces() -> None:
    # A part of 9.00 may cost 12.00 for each good piece: 9 / 12 = 75 % have to turn out good.
    made = product(bought={"part": bought(9)}, batch=batch(units_started=10, good_share="90 %"))
    answer = found(made, "batch.good_share", 2000)
    assert of(answer.direction, answer.reach) == ("smallest", Fraction(3, 4))


def test_the_greatest_discount() -> None:
    # 10.00 for the part: 0.6 of the goods have to be left, so the goods may fall to 16.68 (solved by hand: at 16.67
    # the fee of 1.667 is rounded up to 1.67 and 5.00 of 16.67 are 29.99 %). 20.00 × (1 − 16.6 %) = 16.68.
    answer = found(product(bought={"part": bought(10)}), "discount", 2000)
    assert of(answer.direction, answer.reach) == ("greatest", Fraction(166, 1000))


def test_no_value_does_and_the_nearest_is_told() -> None:
    answer = found(product(bought={"part": bought(10), "lid": bought(13)}), "bought.part.price", 2000)
    assert of(answer.direction, answer.reach, answer.holds_now) == ("none", None, False)
    # Without the part 20.00 − 2.00 − 13.00 = 5.00 are left: a margin of a quarter.
    assert answer.at_ends[0] == Fraction(1, 4)


def test_any_value_does() -> None:
    made = product(bought={"part": bought(5)}, labour={"throwing": labour("20 min", rate=0)})
    assert found(made, "labour.throwing.time", 2000).direction == "any"


def test_an_unbroken_run_ends_at_a_tier_that_takes_more() -> None:
    # Whole tiers on the goods: up to 18.00 nothing, above it 30 %. Without a cost, a margin of 80 % holds up to 18.00
    # of goods, and the discount must be 10 % at least; with none the fee takes 6.00 of 20.00.
    steep = Fee(
        name="sale", base="goods", tier_kind="whole",
        tiers=(Tier(up_to=Fraction(18), percent=Fraction(0)), Tier(percent=frac("30 %"))),
    )  # fmt: skip
    made = product(bought={"part": bought(1)})
    answer = found(made, "discount", 2000, "profit 13", profile=profile(steep))
    # At 20.00: 20 − 6 − 1 = 13.00 holds; from 0.1 % to 9.9 % off the fee of 30 % leaves less than 13.00;
    # from 10 % off (18.00 − 1 = 17.00) it holds again, down to goods of 14.00: 30 % off.
    assert list(answer.holds) == [(frac(0), frac(0)), (frac("10 %"), frac("30 %"))]
    assert of(answer.direction, answer.reach, answer.unbroken) == ("greatest", frac("30 %"), 0)


def test_the_height_of_a_box_decides_which_label_is_paid() -> None:
    # 20 × 20 × h cm at 5000 cm³/kg: up to 1 kg the label is 4.00, up to 2 kg 9.00. 20 × 20 × 12.5 = 5000 cm³ is 1 kg.
    # 20.00 − 2.00 fee − 4.00 label − 5.00 part = 9.00 holds a margin of 30 %; with 9.00 for the label 4.00 do not.
    made = product(
        bought={"part": bought(5)}, weight=Fraction(100), packing={"box": packing("20 cm", "20 cm", "10 cm")}
    )
    van = card({"near": ((1, 4), (2, 9))}, volumetric_divisor=Fraction(5000), rounding="half-up")
    answer = found(
        made, "packing.box.height", 2000, cards={"van": van}, delivery=Delivery(rate_cards=("van",)),
        buyers=_near(),
    )  # fmt: skip
    assert of(answer.direction, answer.input.shown(answer.reach or Fraction(0))) == ("greatest", "12.5 cm")


def _near() -> object:
    from netprice.book.shop import Buyers

    return Buyers(zones={"near": Fraction(1)})


def test_steps_and_ends_have_to_make_sense() -> None:
    made = product(bought={"part": bought(10)})
    with pytest.raises(QuestionError, match="give a step above zero"):
        found(made, "bought.part.price", 2000, step=Fraction(0))
    with pytest.raises(QuestionError, match="ends that rise"):
        found(made, "bought.part.price", 2000, low=Fraction(3), high=Fraction(2))
