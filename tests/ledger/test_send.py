"""Which way of packing and which services an order travels by at a price, worked out by hand. Amounts are in cents."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from netprice.answer.price import Trap
from netprice.book.product import Overhead, Product
from netprice.book.rate_card import Insurance, Limits, RateCard
from netprice.book.shop import Channel, Delivery, Labour
from netprice.ledger.arithmetic import EXACT
from netprice.ledger.freight import Quote
from netprice.ledger.order import ZoneLedger, bottom_line, order_ledger
from netprice.ledger.send import Sent, send
from netprice.ledger.terms import PackingTerms, Terms, ZoneTerms
from tests.build import Amount, cover, frac, priced, quoted, span
from tests.build_book import book, card, packing, product, profile, settled

STEPS = cover(free=5000, step=5000, price=150)  # 1.50 for each started 50.00 above 50.00 a parcel


def way(name: str, *parcels: Quote, cost: int = 0, overhead: int = 0, hours: Amount = 0) -> PackingTerms:
    share = Fraction(1, len(parcels))
    return PackingTerms(
        name=name,
        parcels=tuple((share, (offer,)) for offer in parcels),
        cost=Fraction(cost),
        order_cost=Fraction(cost + overhead),
        overhead=Fraction(overhead),
        labour_hours=frac(hours),
    )


def sent(goods: int, *ways: PackingTerms) -> Sent:
    return send(ZoneTerms(name="all", share=Fraction(1), packing=ways[0], others=ways[1:]), goods, EXACT, {})


# --- one zone -------------------------------------------------------------------------------------------------------


def test_labels_and_packing_together_decide() -> None:
    chest, bags = way("chest", quoted(900), cost=200), way("bags", quoted(500), quoted(500), cost=90)
    found = sent(0, chest, bags)
    assert (found.packing.name, found.cost, found.order_cost, found.weighed) == ("bags", 1000, 90, 1090)


def test_overhead_on_packing_is_paid_but_does_not_decide() -> None:
    chest, bags = way("chest", quoted(900), cost=100, overhead=500), way("bags", quoted(500), quoted(501))
    found = sent(0, chest, bags)
    assert (found.packing.name, found.order_cost, found.weighed) == ("chest", 600, 1000)


def test_of_equal_ways_the_first_is_taken_and_its_costs_are_paid() -> None:
    chest = way("chest", quoted(900), cost=100, hours="1/4")
    bags = way("bags", quoted(500), quoted(400), cost=100, overhead=7, hours="1/2")
    assert (sent(0, chest, bags).packing, sent(0, chest, bags).hours) == (chest, Fraction(1, 4))
    assert (sent(0, bags, chest).packing, sent(0, bags, chest).order_cost) == (bags, 107)


def test_each_parcel_insures_its_share() -> None:
    two = way("bags", quoted(500, insured=STEPS), quoted(500, insured=STEPS))
    assert [sent(goods, two).cost for goods in (10_000, 10_001, 20_000, 20_002)] == [1000, 1300, 1300, 1600]
    assert [label.premium for label in sent(20_002, two).labels] == [300, 300]
    assert sent(20_002, two).bare == 1000


# --- the way changes with the price ---------------------------------------------------------------------------------

# Two units in one chest of 9.00, or each in a bag of 5.00; the chest costs 0.30 and a bag 0.20. Each parcel is insured
# at 1.50 for each started 50.00 above 50.00:
#   goods to  50.00    chest 9.00 + 0.30 =  9.30    bags 10.00 + 0.40 = 10.40
#   goods to 100.00    chest       10.80            bags              10.40
#   goods to 150.00    chest       12.30            bags              13.40
INSURANCE = Insurance(free_cover=Fraction(50), step=Fraction(50), price_per_step=Fraction("1.50"))
CARRIED = {"near": ((1, 5), (2, 9))}


def pair() -> Product:
    chest = packing("30 cm", "20 cm", "10 cm", holds=2, cost=Fraction("0.30"))
    bag = packing("20 cm", "15 cm", "10 cm", cost=Fraction("0.20"))
    return product(weight=Fraction(900), packing={"chest": chest, "bag": bag})


def shipped(made: Product, quantity: int = 2, *, labour: dict[str, Labour] | None = None, **cards: RateCard) -> Terms:
    channel = Channel(delivery=Delivery(rate_cards=tuple(cards)), zones={"near": Fraction(1)})
    return settled(book(made, channel, cards=cards, labour=labour or {}), quantity=quantity)


def at(order: Terms, price: int) -> ZoneLedger:
    (zone,) = order_ledger(order, price).zones
    return zone


PAIR = shipped(pair(), post=card(CARRIED, insurance=INSURANCE))


@pytest.mark.parametrize(
    ("price", "name", "labels", "packed"),
    [
        (100, "chest", 900, 30),
        (2500, "chest", 900, 30),
        (2501, "2 × bag", 1000, 40),
        (5000, "2 × bag", 1000, 40),
        (5001, "chest", 1200, 30),
        (7500, "chest", 1200, 30),
    ],
)
def test_the_ledger_packs_as_is_cheapest_at_its_price(price: int, name: str, labels: int, packed: int) -> None:
    zone = at(PAIR, price)
    assert [zone.label_cost, zone.order_cost] == [labels, packed]
    assert zone.packing.name == name
    profit = bottom_line(order_ledger(PAIR, price), "expected")[1]
    assert profit == 2 * price - labels - packed


# At 25.00 the order leaves 50.00 - 9.30 = 40.70, which is 20.35 a unit. In bags that takes 2 × p - 10.40 ≥ 40.70:
# 25.55. Nothing is rounded in this, so the trap is no matter of cents.
def test_the_price_at_which_the_way_changes_is_the_beginning_of_a_trap() -> None:
    answer = priced(PAIR, "profit 20.35", span(1, 10_000))
    assert (answer.lowest_price, answer.safe_floor) == (2500, 2555)
    assert answer.traps == (Trap(2501, 2554, from_rounding=False),)
    assert answer.ledger is not None
    assert answer.ledger.zones[0].packing.name == "chest"


# A bag label of 5.25 makes bags as dear as the chest between 50.00 and 100.00 of goods if they cost 0.15: 10.80.
def test_of_ways_that_are_as_dear_the_one_with_fewer_parcels_is_taken() -> None:
    bag = packing("20 cm", "15 cm", "10 cm", cost=Fraction("0.15"))
    made = pair()
    made = product(weight=made.weight, packing={"bag": bag, "chest": made.packing["chest"]})
    order = shipped(made, post=card({"near": ((1, "5.25"), (2, 9))}, insurance=INSURANCE))
    assert at(order, 3000).packing.name == "chest"
    assert at(order, 3000).label_cost == 1050


# A courier takes any parcel for 11.00 with no insurance to pay: less than the 12.00 of the post above 100.00 of goods.
def test_way_and_service_change_together() -> None:
    order = shipped(pair(), post=card(CARRIED, insurance=INSURANCE), courier=card({"near": ((5, 11),)}, name="Courier"))
    found = [at(order, price) for price in (2500, 5000, 5001)]
    services = [[each.quote.service for each in zone.labels if each.quote] for zone in found]
    assert [zone.packing.name for zone in found] == ["chest", "2 × bag", "chest"]
    assert services == [["Van"], ["Van", "Van"], ["Courier"]]


# --- ways that are left out -----------------------------------------------------------------------------------------


# 20 units in a box, 10.00, or each in an envelope, 0.40 each: 8.00. There are over 300 ways to pack them in fewer
# parcels than 20.
@pytest.mark.parametrize(
    "insurance", [None, Insurance(free_cover=Fraction(1000), step=Fraction(50), price_per_step=Fraction(1))]
)
def test_many_small_parcels_may_be_the_cheapest_way(insurance: Insurance | None) -> None:
    box = packing("30 cm", "20 cm", "10 cm", holds=20, empty_weight=Fraction(1000))
    made = product(weight=Fraction(1), packing={"box": box, "envelope": packing("20 cm", "10 cm", "1 cm")})
    rates = card({"near": (("0.1", "0.40"), (5, 10))}, weight_step=Fraction(1, 10), insurance=insurance)
    assert at(shipped(made, 20, post=rates), 100).label_cost == 800


# Each parcel is insured for 0.50. 20 units in a box are 15.00 + 0.50; in 20 envelopes 20 × (0.30 + 0.50) = 16.00; in
# ten bags of two 10 × (0.70 + 0.50) = 12.00. Without insurance the envelopes would be the cheapest.
def test_of_many_small_parcels_insurance_decides_how_many() -> None:
    box = packing("30 cm", "20 cm", "10 cm", holds=20, empty_weight=Fraction(1000))
    bag = packing("20 cm", "20 cm", "5 cm", holds=2, at_least=2, empty_weight=Fraction(150))
    envelope = packing("20 cm", "10 cm", "1 cm")
    made = product(weight=Fraction(1), packing={"box": box, "bag": bag, "envelope": envelope})
    insured = Insurance(step=Fraction(1000), price_per_step=Fraction("0.50"))
    breaks = (("0.1", "0.30"), ("0.2", "0.70"), (5, 15))
    order = shipped(made, 20, post=card({"near": breaks}, weight_step=Fraction(1, 10), insurance=insured))
    assert at(order, 100).label_cost == 1200


# 61 units in boxes of ten weigh 10.1 kg, which nobody carries; nine in a box weigh 9.1 kg, and seven boxes hold 61.
@pytest.mark.parametrize("quantity", [60, 61])
def test_a_large_order_travels_in_boxes_that_are_not_full(quantity: int) -> None:
    box = packing("30 cm", "20 cm", "10 cm", holds=10, empty_weight=Fraction(100))
    order = shipped(product(weight=Fraction(1000), packing={"box": box}), quantity, van=card({"near": ((10, 6),)}))
    assert order.unreached == ()
    assert at(order, 100).label_cost == 7 * 600


@pytest.mark.parametrize(
    "insurance",
    [
        None,
        pytest.param(INSURANCE),
    ],
)
def test_a_thousand_units_travel_in_a_thousand_parcels(insurance: Insurance | None) -> None:
    made = product(weight=Fraction(100), packing={"bag": packing("20 cm", "10 cm", "1 cm")})
    order = shipped(made, 1000, post=card({"near": ((1, 5),)}, insurance=insurance))
    assert at(order, 100).label_cost == 1000 * 500


# Two boxes and two services, each of which carries one of them.
LONG, WIDE = packing("80 cm", "10 cm", "10 cm"), packing("40 cm", "40 cm", "10 cm")
NARROW, SHORT = Limits(fits=(Fraction(1000), Fraction(200), Fraction(200))), Limits(length=Fraction(500))


# The long box goes by post only, the wide one by courier only; both labels are 5.00 and up to 100.00 of goods neither
# is insured: the long box stands first. Packing it takes longer, but costs as much; the overhead is by the hour.
def test_of_ways_that_are_as_dear_at_a_price_the_first_is_taken_there() -> None:
    made = product(
        weight=Fraction(100),
        packing={"long": replace(LONG, time=Fraction(1, 10)), "wide": replace(WIDE, cost=Fraction(2))},
        overhead={"room": Overhead(per_labour_hour=Fraction(30))},
    )  # fmt: skip
    insured = Insurance(free_cover=Fraction(100), step=Fraction(50), price_per_step=Fraction(1))
    post = card({"near": ((5, 5),)}, name="Post", insurance=insured, limits=NARROW)
    courier = card({"near": ((5, 5),)}, name="Courier", limits=SHORT)
    order = shipped(made, 1, labour={"packing": Labour(rate=Fraction(20))}, post=post, courier=courier)
    assert (at(order, 10_001).packing.name, at(order, 10_001).order_cost) == ("wide", 200)
    assert (at(order, 10_000).packing.name, at(order, 10_000).order_cost) == ("long", 200 + 300)


# The courier takes 5.00 euro, and 1.00 for each started 50.00 above 50.00 of goods: 6.00 for goods of 60.00. The post
# takes 2.50 dollars, worth two euro each: 5.00, and nothing more up to 100.00 euro of goods.
def test_insurance_in_another_currency_is_another_insurance() -> None:
    made = product(weight=Fraction(100), packing={"wide": WIDE, "long": LONG})
    insured = Insurance(free_cover=Fraction(50), step=Fraction(50), price_per_step=Fraction(1))
    post = card({"near": ((5, "2.50"),)}, insurance=insured, limits=NARROW)
    courier = card({"near": ((5, 5),)}, insurance=insured, limits=SHORT, currency="EUR")
    channel = Channel(
        delivery=Delivery(rate_cards=("post", "courier")), zones={"near": Fraction(1)},
        fee_profile="profile", exchange_rate=Fraction(2),
    )  # fmt: skip
    cards = {"post": post, "courier": courier}
    order = settled(book(made, channel, cards=cards, profile=profile(currency="EUR")))
    assert (at(order, 6000).packing.name, at(order, 6000).label_cost) == ("long", 500)
