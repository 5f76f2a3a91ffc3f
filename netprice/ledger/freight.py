"""What a carrier's label costs: rate, surcharges, fuel, insurance, and the service that is cheapest.

Section 5 of the money model. All of a label but its insurance on the goods is known before the price is: `Quote` holds
that part, and `label` adds the insurance at a price.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from netprice.book.rate_card import Insurance, RateCard
from netprice.ledger.arithmetic import Arithmetic, Number
from netprice.ledger.parcel import Measured, Parcel, measure
from netprice.ledger.rates import Over, base_rate, over_a_limit, priced_amount
from netprice.ledger.surcharge import charged, fuel, holding, least_billable
from netprice.money import Rounding, round_to_whole, show_exact


class Cover(NamedTuple):
    """Insurance in minor units of the card: a premium per started step above the free cover.

    `values` are declared values and the premium up to and with each; past the last the steps go on from it.
    """

    free: Fraction
    step: Fraction
    price: Fraction
    minimum: int
    rounding: Rounding
    fixed_value: Fraction | None
    values: tuple[tuple[Fraction, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """One service's label for one parcel to one zone, in minor units of the card.

    `worth` is what one of the card's minor units is in the channel's minor units.
    """

    service: str
    rate: int
    surcharges: tuple[tuple[str, int], ...]
    fuel: int
    cover: Cover | None
    worth: Fraction
    measured: Measured | None = None
    bare: Fraction = field(init=False)
    """The label without insurance, in the channel's minor units."""

    def __post_init__(self) -> None:
        """Add up the parts once: a search asks for the sum over and over."""
        parts = self.rate + sum(amount for _, amount in self.surcharges) + self.fuel
        object.__setattr__(self, "bare", parts * self.worth)

    @property
    def depends_on_price(self) -> bool:
        """Whether the insurance follows the price of the goods."""
        return self.cover is not None and self.cover.fixed_value is None


class Refusal(NamedTuple):
    """A service that does not carry the parcel to a zone: what is over which limit, in the card's unit.

    `limit` is None where the card simply has no rates for the zone.
    """

    service: str
    zone: str
    what: str
    got: Fraction
    limit: Fraction | None
    unit: str

    @property
    def why(self) -> str:
        """Return the reason in words."""
        if self.limit is None:
            return "the card has no rates for this zone"
        return (
            f"{self.what} {show_exact(self.got, 3)} {self.unit} is over"
            f" the limit of {show_exact(self.limit, 3)} {self.unit}"
        )

    def __str__(self) -> str:
        return f"{self.service} does not carry it to {self.zone}: {self.why}"


class Label(NamedTuple):
    """The label that is bought: its total cost and the same without insurance, in the channel's minor units.

    `quote` and `premium` (in the card's minor units) are known exactly where the price is one price.
    """

    cost: Number
    bare: Number
    quote: Quote | None
    premium: Number


class Weighed(NamedTuple):
    """A parcel as one card measures it: what holds for every zone alike."""

    card: RateCard
    scale: int
    measured: Measured
    over: Over | None
    cover: Cover | None


def weigh(card: RateCard, parcel: Parcel, *, card_digits: int) -> Weighed:
    """Hold the parcel against the card's measuring rules and limits."""
    measured, scale = measure(parcel, card), 10**card_digits
    return Weighed(
        card=card,
        scale=scale,
        measured=measured,
        over=over_a_limit(card, parcel, measured),
        cover=_cover(card.insurance, scale, card.rounding),
    )


def quote(weighed: Weighed, zone: str, *, residential: bool, worth: Fraction) -> Quote | Refusal:
    """Return the card's label for this parcel to this zone, or why it is not carried."""
    card, scale = weighed.card, weighed.scale
    if weighed.over is not None:
        return Refusal(card.name, zone, *weighed.over)
    if zone not in card.rates:
        return Refusal(card.name, zone, "zone", Fraction(0), None, "")
    measured = weighed.measured
    while True:
        amount = priced_amount(card, measured)
        rate = base_rate(card, zone, amount)
        if rate is None:
            what, unit = ("volume", "") if card.priced_by == "volume" else ("billable weight", card.weight_unit)
            return Refusal(card.name, zone, what, amount, card.rates[zone][-1][0], unit)
        base = round_to_whole(rate * scale, card.rounding)
        added = charged(card, holding(card, measured, zone, residential=residential), base, scale)
        # A surcharge may ask for a least billable weight, at which the rate is another and further surcharges hold.
        raised = least_billable(measured, added)
        if raised == measured:
            break
        measured = raised
    return Quote(
        service=card.name,
        rate=base,
        surcharges=tuple((each.surcharge.name, each.amount) for each in added),
        fuel=fuel(card, base, added),
        cover=weighed.cover,
        worth=worth,
        measured=measured,
    )


def _cover(insurance: Insurance | None, scale: int, rounding: Rounding) -> Cover | None:
    if insurance is None:
        return None
    fixed = insurance.fixed_value
    return Cover(
        free=(insurance.free_cover or Fraction(0)) * scale,
        step=insurance.step * scale,
        price=insurance.price_per_step * scale,
        minimum=round_to_whole((insurance.minimum or Fraction(0)) * scale, rounding),
        rounding=rounding,
        fixed_value=None if fixed is None else fixed * scale,
        values=tuple((value * scale, round_to_whole(price * scale, rounding)) for value, price in insurance.values),
    )


def premium(cover: Cover | None, declared: Number, m: Arithmetic) -> Number:
    """Return the premium on a declared value, both in the card's minor units; nothing up to the free cover."""
    if cover is None:
        return 0
    value = declared if cover.fixed_value is None else cover.fixed_value
    if cover.fixed_value is not None and value <= cover.free:
        return 0
    begins, due = cover.values[-1] if cover.values else (cover.free, 0)
    due = m.rounded(m.started_steps(value - begins, cover.step) * cover.price, cover.rounding) + due
    for up_to, price in reversed(cover.values):
        due = m.choose(m.is_over(value, up_to), due, price)
    return m.choose(m.is_over(value, cover.free), m.most(due, cover.minimum), 0)


def label(quotes: tuple[Quote, ...], declared: Number, m: Arithmetic, paid: dict[int, Number] | None = None) -> Label:
    """Return the cheapest label at this declared value (in the channel's minor units); of equal ones the first.

    `quote` of the result is the one that was chosen where there is one price; in a search over many it is the first.
    `paid` remembers premiums between the zones of one parcel, since a card insures it alike to all of them.
    """
    paid = {} if paid is None else paid
    best: Label | None = None
    for offer in quotes:
        due = paid.get(id(offer.cover))
        if due is None:
            due = premium(offer.cover, declared / offer.worth if offer.depends_on_price else 0, m)
            paid[id(offer.cover)] = due
        this = Label(cost=offer.bare + due * offer.worth, bare=offer.bare, quote=offer, premium=due)
        best = this if best is None else _cheaper(best, this, m)
    assert best is not None  # a zone without quotes never gets here: it is refused beforehand
    return best


def _cheaper(best: Label, other: Label, m: Arithmetic) -> Label:
    wins = m.is_over(best.cost, other.cost)
    if isinstance(wins, bool):
        return other if wins else best
    return Label(
        cost=m.choose(wins, other.cost, best.cost),
        bare=m.choose(wins, other.bare, best.bare),
        quote=best.quote,
        premium=best.premium,
    )


def worth_having(quotes: list[Quote]) -> tuple[Quote, ...]:
    """Leave out services that can never be the cheapest: dearer bare than another one is with all its insurance.

    >>> dear = Quote(service="dear", rate=900, surcharges=(), fuel=0, cover=None, worth=Fraction(1))
    >>> cheap = Quote(service="cheap", rate=700, surcharges=(), fuel=0, cover=None, worth=Fraction(1))
    >>> [offer.service for offer in worth_having([dear, cheap])]
    ['cheap']
    """
    from netprice.ledger.arithmetic import EXACT

    settled = [
        (position, label((offer,), 0, EXACT).cost)
        for position, offer in enumerate(quotes)
        if not offer.depends_on_price
    ]
    if not settled or not all(isinstance(offer.bare, (int, Fraction)) for offer in quotes):
        return tuple(quotes)  # what a label costs may stand for many values at once
    place, cost = min(settled, key=lambda pair: (pair[1], pair[0]))
    return tuple(
        offer
        for position, offer in enumerate(quotes)
        if position == place
        or (offer.depends_on_price and (offer.bare < cost or (offer.bare == cost and position < place)))
    )
