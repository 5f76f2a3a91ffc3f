"""The best mix of a month, by hand: whose hours an order takes, fees per month, promises, batches."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

import netprice
from netprice.answer.hours import Resource, batch_hours_of, hours_of, hours_said
from netprice.book.fee_profile import Fee
from netprice.book.product import Batch, Breakage, Demand, LabourLine, MachineLine
from netprice.book.shop import Channel, Delivery, Labour, Machine
from netprice.errors import QuestionError
from netprice.ledger.measures import labour_hours, machine_hours
from netprice.ledger.order import order_ledger
from netprice.ledger.settle import Ask, settle
from tests.answer.months import best, made, month, orders, told, use
from tests.build_book import DAY, book, bought, packing, product, profile, settled

POTTERY = Path(__file__).parents[2] / "examples/pottery"
KILN, OVEN = Resource("machine", "kiln"), Resource("machine", "oven")


# ------------------------------------------------------------------------------------------ whose hours an order takes


# A batch of 20 of which 90 % turn out good; an order of 2, of which 10 % are sent again: 2.2 units and 1.1 parcels.
#   kiln      4 h a batch: 4 / 18 × 2.2 = 22/45; a quarter of it attended: 11/90 h of watching
#   throwing  54 min on each unit started: 0.9 / 0.9 × 2.2; glazing has no rate of its own, so the default one's: 1 h a
#             good unit; the parcel is packed in 6 min, by the default one too: 2.2 + 0.1 × 1.1
def test_hours_are_told_apart_by_machine_and_by_work() -> None:
    rate = Fraction(20)
    built_up = Machine(purchase_price=rate, life=rate, attended=Fraction(1, 4), attended_by="watching")
    pot = product(
        batch=Batch(units_started=Fraction(20), good_share=Fraction(9, 10)),
        machine={"firing": MachineLine(per="batch", machine="kiln", time=Fraction(4))},
        labour={
            "throwing": LabourLine(time=Fraction(9, 10)),
            "glazing": LabourLine(per="good", time=Fraction(1)),
        },
        packing={"box": packing("30 cm", "30 cm", "30 cm", holds=2, time=Fraction(1, 10))},
        breakage=Breakage(rate=Fraction(1, 10), remedy="replace"),
    )
    work = {name: Labour(rate=rate) for name in ("throwing", "watching", "default")}
    terms = settled(
        book(pot, Channel(delivery=Delivery(label_cost=rate)), machines={"kiln": built_up}, labour=work), quantity=2
    )
    ledger = order_ledger(terms, 10_000)
    assert hours_of(ledger) == {
        KILN: Fraction(22, 45),
        Resource("labour", "watching"): Fraction(11, 90),
        Resource("labour", "throwing"): Fraction(22, 10),
        Resource("labour", "default"): Fraction(231, 100),
    }
    assert batch_hours_of(ledger) == {KILN: Fraction(4, 18), Resource("labour", "watching"): Fraction(1, 18)}


# What the ledger's own measures count in one sum, on every channel of the demo.
@pytest.mark.parametrize("name", ["mug", "serving-platter", "espresso-set"])
def test_all_machines_and_all_work_add_up_to_the_hours_of_the_order(name: str) -> None:
    shop = netprice.open_shop(POTTERY)
    for channel in shop.sold_on(name):
        terms = settle(shop.book, Ask(product=name, channel=channel, on=DAY))
        ledger = order_ledger(terms, 12_900)
        hours = hours_of(ledger)
        assert sum(each for resource, each in hours.items() if resource.kind == "machine") == machine_hours(terms)
        assert sum(each for resource, each in hours.items() if resource.kind == "labour") == labour_hours(ledger)


def test_hours_are_said_of_a_machine_before_work_of_its_name() -> None:
    known = {KILN, Resource("labour", "kiln"), Resource("labour", "glazing")}
    said = hours_said({"kiln": "130 hours", "labour.kiln": "90 min", "glazing": 7}, known)
    assert said == {KILN: 130, Resource("labour", "kiln"): Fraction(3, 2), Resource("labour", "glazing"): 7}
    assert hours_said({"machines.kiln": "1 hour"}, known) == {KILN: 1}
    with pytest.raises(QuestionError, match="did you mean 'kiln'"):
        hours_said({"kilm": "1 hour"}, known)


# ------------------------------------------------------------------------------------------ the month of a shop


STALL = {"stall": profile(Fee(name="stall", per="month", fixed=Fraction(50)))}


def two_channels(kiln: int, at_the_fair: int) -> netprice.OpenShop:
    """Return a shop whose vase leaves 6 at home (20 orders) and 10 at a fair, where the stall costs 50; 1 h each."""
    channels = {
        "home": Channel(orders_per_month=Fraction(20)),
        "fair": Channel(orders_per_month=Fraction(at_the_fair), fee_profile="stall"),
    }
    home = made(6, hours={"kiln": 1}, channels=("home",))
    fair = made(10, hours={"kiln": 1}, channels=("fair",))
    return month({"at home": home, "at the fair": fair}, {"kiln": kiln}, channels, STALL)


# 10 h: 10 × 6 at home, or 10 × 10 − 50 at the fair. 26 h: 10 × 10 − 50 + 16 × 6. Four orders never pay the stall.
@pytest.mark.parametrize(
    ("hours", "at_the_fair", "mix", "left"),
    [(10, 10, (10, 0), 60), (26, 10, (16, 10), 146), (26, 4, (20, 0), 120), (40, 13, (20, 13), 200)],
)
def test_fees_per_month_are_paid_once_by_a_channel_that_is_used(
    hours: int, at_the_fair: int, mix: tuple[int, int], left: int
) -> None:
    found = best(two_channels(hours, at_the_fair))
    assert told(orders(found), found.contribution) == ({"at home": mix[0], "at the fair": mix[1]}, left)
    paid, saved = ({"fair": 50}, {}) if mix[1] else ({}, {"fair": 50})
    assert told(found.fees, found.unused) == (paid, saved)


# Money of another currency: 20.00 of it at 2 for one of the shop's leaves 10, and a stall of 30 of it costs 15.
def test_all_amounts_are_in_the_currency_of_the_shop() -> None:
    abroad = {"abroad": profile(Fee(name="stall", per="month", fixed=Fraction(30)), currency="EUR")}
    channels = {"fair": Channel(orders_per_month=Fraction(4), fee_profile="abroad", exchange_rate=Fraction(2))}
    found = best(month({"vase": made(20)}, {}, channels, abroad))
    assert told(found.offers[0].leaves, found.fees, found.contribution) == (10, {"fair": 15}, 25)


# Two thirds of an hour each: 8 h are 12, and one more hour, worth 7 / (2/3) = 10.50, makes only one more whole vase.
# Without an end of the kiln all 20 that can be sold take 40/3 h.
def test_one_more_hour_is_valued_at_the_edge_and_in_whole_orders() -> None:
    found = best(month({"vase": made(7, Demand(most=20), hours={"kiln": "2/3"})}, {"kiln": 8}))
    kiln = use(found, "kiln")
    assert told(kiln.used, kiln.there_is, kiln.worth, kiln.one_more, kiln.wanted) == (
        8,
        8,
        Fraction(21, 2),
        7,
        Fraction(40, 3),
    )
    assert found.scarce == (kiln,)


def test_a_machine_of_no_stated_hours_has_no_end() -> None:
    opened = month({"vase": made(7, Demand(most=20), hours={"kiln": 1000})}, {})
    found = best(opened)
    kiln = use(found, "kiln")
    assert told(orders(found), kiln.used, kiln.there_is, kiln.scarce) == ({"vase": 20}, 20_000, None, False)
    assert found.scarce == ()
    assert orders(best(opened, hours={"kiln": "2500 hours"})) == {"vase": 2}


# The channel's orders are all its products' together; one more of them is a bowl instead of nothing.
def test_a_channels_orders_are_shared_by_its_products() -> None:
    products = {"vase": made(9, Demand(most=3)), "bowl": made(4)}
    found = best(month(products, {}, {"fair": Channel(orders_per_month=Fraction("10.5"))}))
    fair = use(found, "fair", "channel")
    assert orders(found) == {"vase": 3, "bowl": 7}
    assert told(fair.used, fair.there_is, fair.worth, fair.one_more, fair.wanted) == (10, 10, 4, 4, None)


def test_orders_that_nothing_limits_are_refused() -> None:
    with pytest.raises(QuestionError, match="nothing limits the orders of vase on fair; add hours_per_month"):
        best(month({"vase": made(9, hours={"wheel": 1})}, {"kiln": 8}))
    # What leaves nothing needs no limit: nobody makes it.
    assert orders(best(month({"vase": made(9, bought={"blank": bought(9)})}, {}))) == {"vase": 0}


# 5 vases of 2 h and 3 bowls of 1 h are 13 h of the kiln, which has 10; the oven's 3 h are enough. The fair takes 6.
def test_promises_that_cannot_be_kept_say_what_is_lacking() -> None:
    products = {
        "vase": made(9, Demand(at_least=5), hours={"kiln": 2}),
        "bowl": made(4, Demand(at_least=3), hours={"kiln": 1, "oven": 1}),
    }
    found = best(month(products, {"kiln": 10, "oven": 3}, {"fair": Channel(orders_per_month=Fraction(6))}))
    assert not found.met
    assert told(found.contribution, orders(found)) == (None, {"vase": None, "bowl": None})
    assert [told(lack.resource.name, lack.used, lack.lacking) for lack in found.lacks] == [
        ("kiln", 13, 3),
        ("fair", 8, 2),
    ]


def test_a_promise_is_kept_even_at_a_loss_and_its_cost_is_told() -> None:
    products = {
        "vase": made(9, hours={"kiln": 1}),
        "plate": made(5, Demand(at_least=2), hours={"kiln": 3}, bought={"blank": bought(6)}),
    }
    found = best(month(products, {"kiln": 10}))
    assert told(orders(found), found.contribution) == ({"vase": 4, "plate": 2}, 4 * 9 - 2)
    assert found.promises_cost == 10 * 9 - 34


# 25 good ones come of a batch of 50; 35 orders of 1 and 5 of 2 are 45 of them, 1.8 batches. Each batch takes 10 h.
def test_batches_count_by_the_part_that_is_filled_and_whole_ones_are_told() -> None:
    firing = {"kiln": MachineLine(per="batch", time=Fraction(10), rate=Fraction(0))}
    vase = made(9, batch=Batch(units_started=Fraction(50), good_share=Fraction(1, 2)), channels=("home", "fair"))
    vase.machine.update(firing)
    channels = {
        "home": Channel(orders_per_month=Fraction(35)),
        "fair": Channel(orders_per_month=Fraction(5), quantity=2),
    }
    found = best(month({"vase": vase}, {"kiln": 18}, channels))
    kiln = use(found, "kiln")
    assert found.batches == {"vase": Fraction(9, 5)}
    assert told(kiln.used, kiln.in_whole_batches) == (18, 20)


# Without a list price the lowest price that meets the target is taken: cost 7.00 and break-even, so it leaves nothing;
# with a profit of 2.00 it leaves 2.00. Where no price meets it, the product is left out.
def test_a_product_without_a_list_price_is_offered_at_the_price_that_meets_the_target() -> None:
    blank = product(bought={"blank": bought(7)})
    opened = month({"vase": made(9), "blank": blank}, {}, {"fair": Channel(orders_per_month=Fraction(3))})
    found = {offer.product: offer for offer in best(opened, target="profit 2").offers}
    assert told(found["blank"].price, found["blank"].in_use, found["blank"].leaves) == (900, False, 2)
    assert told(found["vase"].price, found["vase"].in_use, found["vase"].leaves) == (900, True, 9)
    refused = best(opened, target="margin 100 %")
    assert [(out.product, out.channel) for out in refused.left_out] == [("blank", "fair")]
    assert refused.met
    nothing = best(opened, "blank", target="margin 100 %")
    assert told(nothing.met, nothing.contribution, nothing.offers, nothing.not_asked) == (False, None, (), ("vase",))


def test_a_product_named_twice_is_offered_once_and_only_where_it_is_sold() -> None:
    products = {"vase": made(9, Demand(most=2)), "bowl": made(4, Demand(most=2), on="home", channels=("home",))}
    opened = month(products, {}, {"fair": Channel(), "home": Channel(orders_per_month=Fraction(1))})
    assert orders(best(opened, "vase", "vase", channels=["fair"])) == {"vase": 2}
    assert orders(best(opened, channels=["fair"])) == {"vase": 2}
    with pytest.raises(QuestionError, match="nothing to choose from"):
        best(month({"bowl": products["bowl"]}, {}, {"fair": Channel(), "home": Channel()}), channels=["fair"])


# The kiln is the scarce one. The card takes none of it, so it comes first; then by what an hour of it earns: 12, 10, 3.
def test_what_earns_most_per_scarce_hour_comes_first() -> None:
    products = {
        "planter": made(30, Demand(most=9), hours={"kiln": 10}),
        "mug": made(10, Demand(most=9), hours={"kiln": 1, "wheel": 1}),
        "bowl": made(24, Demand(most=2), hours={"kiln": 2}),
        "card": made(1, Demand(most=2), hours={"wheel": 1}),
    }
    found = best(month(products, {"kiln": 9, "wheel": 100}))
    assert [offer.product for offer in found.offers] == ["card", "bowl", "mug", "planter"]
    assert orders(found) == {"card": 2, "bowl": 2, "mug": 5, "planter": 0}
    assert [scarce.resource for scarce in found.scarce] == [KILN]
