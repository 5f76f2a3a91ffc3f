"""Random parcels, cards and small shops with several packings: what holds for all of them."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations_with_replacement, permutations
from typing import Any

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from netprice.book.fee_profile import Fee
from netprice.book.product import Breakage, Case, Overhead, Packing, Product, Returns
from netprice.book.rate_card import Divisor, Insurance, Limits, RateCard, Surcharge, WeightStep
from netprice.book.shop import Book, Channel, Delivery, Labour, Shipping
from netprice.ledger.arithmetic import EXACT, UNROUNDED
from netprice.ledger.freight import Quote, Refusal, label, quote, weigh
from netprice.ledger.order import bottom, order_ledger
from netprice.ledger.parcel import Parcel, measure
from netprice.ledger.terms import Terms
from netprice.quantity import read_quantity
from tests.build import goal, priced, span
from tests.build_book import book, bought, card, labour, product, profile, settled

# --- measuring ------------------------------------------------------------------------------------------------------

sides = st.fractions(10, 1500, max_denominator=8)
weights = st.fractions(1, 40_000, max_denominator=8)
shapes = st.sampled_from(["box", "tube", "irregular"])
parcels = st.builds(Parcel, st.tuples(sides, sides, sides), weights, shapes, st.none())


def some(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | values


def exactly(*numbers: object) -> st.SearchStrategy[Fraction]:
    return st.sampled_from([Fraction(str(number)) for number in numbers])


@st.composite
def measuring(draw: st.DrawFn) -> dict[str, Any]:
    """Draw the measuring rules of a card: divisors that fall as volume grows, steps of weight that nest."""
    length, weight = draw(st.sampled_from([("in", "lb"), ("cm", "kg"), ("in", "oz"), ("mm", "g")]))
    rules: dict[str, Any] = {
        "length_unit": length,
        "weight_unit": weight,
        "size_rounding": draw(st.sampled_from(["none", "up", "nearest", "down"])),
        "size_step": draw(some(exactly(1, 2, "0.25"))),
        "volumetric_above": draw(some(st.integers(0, 3000).map(Fraction))),
        "irregular_factor": draw(some(exactly("0.785", "0.5"))),
        "heaviest_billable": draw(some(st.integers(20, 200).map(Fraction))),
    }
    if draw(st.booleans()):
        rules["weight_steps"] = (
            WeightStep(up_to=Fraction(1), step=Fraction(1, 16)), WeightStep(up_to=Fraction(20), step=Fraction(1)),
            WeightStep(step=Fraction(5)),
        )  # fmt: skip
        rules["weight_step"] = None
    else:
        rules["weight_step"] = draw(exactly(1, "0.5", 3))
    if draw(st.booleans()):
        edge = Fraction(draw(st.integers(100, 5000)))
        rules["volumetric_divisors"] = (
            Divisor(up_to=edge, divisor=Fraction(166)), Divisor(up_to=3 * edge, divisor=Fraction(139)),
            Divisor(divisor=Fraction(100)),
        )  # fmt: skip
    else:
        rules["volumetric_divisor"] = draw(some(exactly(166, 139, 5000)))
    return rules


@given(parcels, measuring(), st.integers(0, 2), st.fractions(0, 300, max_denominator=8), weights)
def test_billable_weight_never_falls_when_a_side_or_the_weight_grows(
    packed: Parcel, rules: dict[str, Any], place: int, longer: Fraction, heavier: Fraction
) -> None:
    rates = card(**rules)
    grown = list(packed.sides_mm)
    grown[place] += longer
    now = measure(packed, rates).billable_weight
    assert measure(packed._replace(sides_mm=(grown[0], grown[1], grown[2])), rates).billable_weight >= now
    assert measure(packed._replace(weight_g=packed.weight_g + heavier), rates).billable_weight >= now


LIMITED: dict[str, Any] = {
    "limits": Limits(length=Fraction(1200), length_plus_girth=Fraction(3000), fits=(Fraction(1300),) * 3),
    "surcharges": (Surcharge(name="wide", when="second_side", over=Fraction(10), amount=Fraction(1)),),
}


@given(parcels, measuring())
def test_turning_a_parcel_changes_nothing(packed: Parcel, rules: dict[str, Any]) -> None:
    rates = card({"near": ((1000, 5),)}, **rules, **LIMITED)
    found = {
        offered(rates, packed._replace(sides_mm=(one, other, third)))
        for one, other, third in permutations(packed.sides_mm)
    }
    assert len(found) == 1


def offered(rates: RateCard, packed: Parcel, zone: str = "near") -> Quote | Refusal:
    return quote(weigh(rates, packed, card_digits=2), zone, residential=False, worth=Fraction(1))


eighths = st.integers(1, 400).map(lambda count: Fraction(count, 8))


def decimal(number: Fraction) -> str:
    """Write a number whose decimals end in full."""
    text = f"{number * 10**12 // 1:013d}"
    assert number * 10**12 % 1 == 0
    return f"{text[:-12]}.{text[-12:]}"


@given(st.tuples(eighths, eighths, eighths), eighths, measuring())
def test_a_box_in_inches_and_pounds_is_the_same_in_centimetres_and_kilograms(
    inches: tuple[Fraction, Fraction, Fraction], pounds: Fraction, rules: dict[str, Any]
) -> None:
    def read(length: Fraction, weight: Fraction, units: tuple[str, str]) -> Parcel:
        long, wide, high = (read_quantity(f"{decimal(side * length)} {units[0]}", "length") for side in inches)
        return Parcel((long, wide, high), read_quantity(f"{decimal(pounds * weight)} {units[1]}", "mass"))

    american = read(Fraction(1), Fraction(1), ("in", "lb"))
    metric = read(Fraction("2.54"), Fraction("0.45359237"), ("cm", "kg"))
    assert american == metric == read(Fraction("25.4"), 16 * Fraction(1), ("mm", "oz"))
    assert measure(american, card(**rules)) == measure(metric, card(**rules))


# --- small shops ----------------------------------------------------------------------------------------------------

# Whole cents up to a few dollars, so that every edge lies below 3.00.
HIGHEST = 300


def cents(low: int, high: int) -> st.SearchStrategy[Fraction]:
    return st.integers(low, high).map(lambda amount: Fraction(amount, 100))


insurances = st.builds(
    lambda step, price, free, minimum, values: Insurance(
        step=step, price_per_step=price, free_cover=free, minimum=minimum,
        values=tuple((up_to, Fraction(place + 1, 10)) for place, up_to in enumerate(sorted(values))),
    ),
    cents(40, 250), cents(5, 60), some(cents(0, 200)), some(cents(0, 40)),
    st.sets(cents(20, 400), max_size=3),
)  # fmt: skip


@st.composite
def services(draw: st.DrawFn, number: int) -> RateCard:
    near = draw(st.lists(cents(10, 120), min_size=3, max_size=3).map(sorted))
    breaks = [(place + 1, price) for place, price in enumerate(near)]
    return card(
        {"near": breaks, "far": [(up_to, price + Fraction(1, 4)) for up_to, price in breaks]},
        name=f"service {number}",
        further_step_price=draw(some(cents(0, 50))),
        limits=Limits(length=draw(some(exactly(200, 300)))),
        insurance=draw(some(insurances)),
    )


packings = st.builds(
    Packing,
    length=exactly(200, 300, 400),
    width=exactly(100),
    height=exactly(100),
    empty_weight=exactly(100, 600),
    holds=st.integers(1, 4),
    cost=some(cents(0, 30)),
    time=some(exactly("0.01", "0.02")),
)


@st.composite
def products(draw: st.DrawFn) -> Product:
    overhead = st.sampled_from([{}, {"room": Overhead(per_labour_hour=Fraction(5))}, {
        "rent": Overhead(percent=Fraction(1, 5), of=("all",))}])  # fmt: skip
    return product(
        weight=draw(exactly(300, 700, 900)),
        bought={"clay": bought(draw(cents(0, 100)))},
        labour={"throwing": labour("1 min", 6)},
        packing={f"box {place}": each for place, each in enumerate(draw(st.lists(packings, min_size=2, max_size=3)))},
        overhead=draw(overhead),
        returns=Returns(rate=draw(exactly(0, "0.1"))),
        breakage=Breakage(rate=draw(exactly(0, "0.05")), remedy=draw(st.sampled_from(["replace", "refund"]))),
    )


@st.composite
def books(draw: st.DrawFn) -> tuple[Book, int]:
    """Draw a shop with one product and two or three services, and how many units are ordered."""
    cards = {f"card{number}": draw(services(number)) for number in range(draw(st.integers(2, 3)))}
    shipping = st.one_of(
        st.just(Shipping(policy="free")),
        st.builds(Shipping, policy=st.just("label-share"), share=exactly("0.5", "0.75")),
        st.builds(Shipping, policy=st.just("label"), handling=cents(0, 30)),
        st.builds(Shipping, policy=st.just("free-from"), first=cents(0, 80), threshold=cents(50, 400)),
    )
    channel = Channel(
        delivery=Delivery(rate_cards=tuple(cards)),
        zones=draw(st.sampled_from([{"near": Fraction(1)}, {"near": Fraction(2, 3), "far": Fraction(1, 3)}])),
        shipping=draw(shipping),
        fee_profile="profile",
    )
    fees = profile(
        Fee(name="sale", per="order", base="buyer_total", percent=draw(exactly(0, "0.065")), fixed=Fraction("0.05")),
        Fee(name="ad", per="order", base="goods", percent=Fraction("0.15"), share=draw(exactly(0, "0.3"))),
    )
    whole = book(draw(products()), channel, cards=cards, profile=fees, labour={"default": Labour(rate=Fraction(6))})
    return whole, draw(st.integers(1, 4))


def ways(whole: Book, quantity: int) -> Iterator[tuple[tuple[str, int], ...]]:
    """Yield every way to pack so many units: a packing and how many units are in it, for each parcel."""
    boxes = [
        (name, count) for name, each in whole.products["vase"].packing.items() for count in range(1, each.holds + 1)
    ]
    for number in range(1, quantity + 1):
        yield from (way for way in combinations_with_replacement(boxes, number) if sum(c for _, c in way) == quantity)


def cost_of(whole: Book, way: tuple[tuple[str, int], ...], zone: str, goods: int) -> Fraction | None:
    """Return labels and packing of one way, in cents, with the cheapest service for each parcel."""
    made, total = whole.products["vase"], Fraction(0)
    units = sum(count for _, count in way)
    for name, count in way:
        box = made.packing[name]
        weight = (box.empty_weight or 0) + count * (made.weight or Fraction(0))
        parcel = Parcel((box.length, box.width, box.height), weight)
        answers = [offered(rates, parcel, zone) for rates in whole.rate_cards.values()]
        costs = [
            label((each,), Fraction(goods * count, units), EXACT).cost for each in answers if isinstance(each, Quote)
        ]
        if not costs:
            return None
        total += min(costs) + 100 * ((box.cost or 0) + (box.time or 0) * 6)
    return total


@given(books(), st.lists(st.integers(1, HIGHEST), min_size=4, max_size=4))
def test_every_order_travels_in_the_cheapest_of_all_ways(drawn: tuple[Book, int], prices: list[int]) -> None:
    whole, quantity = drawn
    order = settled(whole, quantity=quantity)
    zones = whole.shop.channels["fair"].zones or {}
    for price in prices:
        found = {zone.zone.name: zone for zone in order_ledger(order, price).zones}
        for zone in zones:
            costs = [cost_of(whole, way, zone, quantity * price) for way in ways(whole, quantity)]
            carried = [cost for cost in costs if cost is not None]
            assert (zone in order.unreached) == (not carried)
            if carried:
                assert found[zone].label_cost + found[zone].packing.cost == min(carried)


@given(books(), st.integers(1, HIGHEST))
def test_a_label_costs_as_much_as_the_cheapest_service_alone(drawn: tuple[Book, int], price: int) -> None:
    whole, _ = drawn
    made = whole.products["vase"]
    for box in made.packing.values():
        parcel = Parcel((box.length, box.width, box.height), made.weight or Fraction(0))
        quotes = [each for card in whole.rate_cards.values() if isinstance(each := offered(card, parcel), Quote)]
        if quotes:
            alone = [label((each,), price, EXACT).cost for each in quotes]
            assert label(tuple(quotes), price, EXACT).cost == min(alone)


TARGETS = ["break-even", "margin 20 %", "margin 45 %", "markup 30 %", "profit 0.40", "labour-hour 6", "labour-hour 15"]


@settings(max_examples=settings.default.max_examples // 2 if settings.default else 50)
@given(books(), st.sampled_from(TARGETS), st.sampled_from(["expected", "worst"]))
def test_the_answer_is_what_trying_every_price_gives(drawn: tuple[Book, int], target: str, case: Case) -> None:
    whole, quantity = drawn
    order = settled(whole, quantity=quantity)
    assume(not order.unreached)
    answer = priced(order, target, span(1, HIGHEST), case)
    met = [price for price in range(1, HIGHEST + 1) if meets(order, target, case, price)]
    assert answer.lowest_price == (met[0] if met else None)
    assert answer.status == ("met" if met else "unreachable")
    if not met:
        return
    failing = [price for price in range(met[0], HIGHEST + 1) if price not in set(met)]
    assert [price for trap in answer.traps for price in range(trap.first, trap.last + 1)] == failing
    floor = failing[-1] + 1 if failing else met[0]
    assert answer.safe_floor == (floor if floor <= HIGHEST else None)
    for trap in answer.traps:
        inside = range(trap.first, trap.last + 1)
        assert trap.from_rounding == all(meets(order, target, case, price, rounds=False) for price in inside)


def meets(order: Terms, target: str, case: Case, price: int, *, rounds: bool = True) -> bool:
    wanted, m = goal(order, target, case), EXACT if rounds else UNROUNDED
    measure = wanted.measure(bottom(order_ledger(order, price if rounds else Fraction(price), m), case, m))
    return measure is not None and measure >= wanted.wanted
