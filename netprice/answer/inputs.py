"""The numbers in a shop's files that an order depends on: finding one by its path, and trying another value for it.

A path is what stands in the file, keys joined by dots: `labour.throwing.time` of the product's file, `shipping.first`
of the channel's table in shop.toml, `fees.transaction.percent` of its fee profile. A path is looked up in the product's
file, then in the channel's table, in shop.toml, in the channel's fee profile and its rate cards: the first that states
it is the one that the rules of an order take it from. `rate_cards.NAME.rates` stands for all rates of a card together.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Annotated, Any, Final, NamedTuple, get_origin

from netprice.answer.paths import inside, numbers_below, split_path, value_at, with_places, with_value_at, written_at
from netprice.answer.units import Unit, unit_of
from netprice.book.files import FileKind
from netprice.book.keys import annotation_at
from netprice.book.kinds import Kind
from netprice.book.mistakes import Path, dotted
from netprice.book.models import MODELS
from netprice.book.rate_card import Breaks, RateCard
from netprice.book.readers import Purchase
from netprice.book.route import route_of
from netprice.book.shop import Book, Discount
from netprice.errors import QuantityError, QuestionError
from netprice.ledger.settle import Ask, merged
from netprice.quantity import Measure

DISCOUNT: Final = "discount"
"""A path that stands in no file: a further discount in percent, after the channel's own."""


_NO_INPUTS: Final = frozenset({"prices", "list_prices", "demand", "hours_per_month"})
"""Tables of numbers that no order depends on."""
ALL_RATES: Final[Path] = ("rates",)
"""Below a rate card: all its rates, as a share of what they are."""


class Place(NamedTuple):
    """Where a number stands: in a file of this kind and name, at this path."""

    kind: FileKind
    file: str
    path: Path


class Input(NamedTuple):
    """A number that an order depends on. `value` is exact, in the base unit of what it measures; None if not stated."""

    name: str
    """Its path, as it is asked for and shown."""
    place: Place | None
    """None for the further discount, which no file states."""
    value: Fraction | None
    unit: Unit
    least: Fraction = Fraction(0)
    most: Fraction | None = None
    """A value that it cannot be above, such as 100 %; None where there is none."""

    def shown(self, value: Fraction) -> str:
        """Return a value in the unit that the file has it in: "11.5 min"."""
        return self.unit.shown(value)


def inputs_of(book: Book, ask: Ask) -> tuple[Input, ...]:
    """Return every number that an order of this product on this channel may depend on, file by file."""
    found: dict[str, Input] = {}
    for kind, file, prefix in _files(book, ask):
        for path in numbers_below(_model(book, kind, file), prefix):
            one = _input(book, ask, Place(kind, file, path))
            # How a carrier measures is no number in doubt; what it charges is.
            if one is not None and one.value is not None and (kind != "rate-card" or one.unit.is_charge):
                found.setdefault(one.name, one)
        if kind == "rate-card":
            rates = _all_rates(file)
            found[rates.name] = rates
    return tuple(found.values())


def find_input(book: Book, ask: Ask, name: str) -> Input:
    """Return the number at a path; `QuestionError` with the nearest paths if there is none.

    Where several files could state it, the one counts that the rules of an order take it from.
    """
    if name.strip() == DISCOUNT:
        return Input(DISCOUNT, None, Fraction(0), Unit("%", Fraction(1, 100), Fraction(1, 1000)), most=Fraction(1))
    path, unset = split_path(name), None
    if len(path) == 3 and path[0] == "rate_cards" and path[2] == "rates" and path[1] in book.rate_cards:
        return _all_rates(str(path[1]))
    for place in _places(book, ask, path):
        one = _input(book, ask, place)
        if one is not None and one.value is not None:
            return one
        unset = unset or one
    if unset is not None:
        return unset
    names = [DISCOUNT, *(each.name for each in inputs_of(book, ask))]
    near = (
        difflib.get_close_matches(name, names, n=3, cutoff=0.5) or [each for each in names if str(path[-1]) in each][:3]
    )
    hint = (
        f"did you mean {' or '.join(repr(each) for each in near)}?" if near else f"there are: {', '.join(names[:8])} …"
    )
    raise QuestionError(f"no number of {ask.product} on {ask.channel} is called {name[:80]!r}; {hint}")


def with_value(book: Book, ask: Ask, one: Input, value: Any) -> tuple[Book, Ask]:
    """Return the book and the question with another value for a number, in the base unit of what it measures."""
    if one.place is None:
        return book, ask._replace(discounts=(*ask.discounts, Discount(percent=value)))
    kind, file, path = one.place
    if is_count(one.place):
        value = int(value)
    if kind == "shop":
        shop = with_value_at(book.shop, path, value)
        if "zones" in path[-2:-1]:
            shop = with_value_at(
                shop, path[:-1], _others_shared_out(value_at(book.shop, path[:-1]), str(path[-1]), value)
            )
        return replace(book, shop=shop), ask
    if path == ALL_RATES:
        value = _rates_times(book.rate_cards[file], value)
    group = {"product": "products", "fee-profile": "fee_profiles", "rate-card": "rate_cards"}[kind]
    models = getattr(book, group)
    model = value if path == ALL_RATES else with_value_at(models[file], path, value)
    changed: dict[str, Any] = {group: {**models, file: model}}
    return replace(book, **changed), ask


def is_count(place: Place) -> bool:
    """Whether the files and the rules have the number as a whole one: units an order, or in a box."""
    kind, _, path = place
    in_a_box = kind == "product" and path[-1] in ("holds", "at_least")  # that of a surcharge is a limit
    return in_a_box or (kind == "shop" and path[0] == "channels" and path[-1] == "quantity")


def sweeps(one: Input) -> bool:
    """Whether an order can be worked out for many values of the number at once.

    What a parcel weighs and measures, and the tables of a rate card, decide which way an order takes: those are settled
    for one value at a time.
    """
    if one.place is None:
        return True
    path = one.place.path
    if one.place.kind == "rate-card" or path[0] in ("weight", "size", "boxes") or is_count(one.place):
        return False
    return path[0] != "packing" or path[-1] in ("cost", "time")


def _others_shared_out(zones: Mapping[str, Fraction], zone: str, share: Any) -> dict[str, Any]:
    """Return the shares of all zones where one has another share and the others share out the rest as before."""
    rest = 1 - zones[zone]
    return {name: share if name == zone else (1 - share) * (before / rest) for name, before in zones.items()}


def _all_rates(card: str) -> Input:
    name = dotted(("rate_cards", card, *ALL_RATES))
    return Input(name, Place("rate-card", card, ALL_RATES), Fraction(1), Unit("%", Fraction(1, 100), Fraction(1, 1000)))


def _rates_times(card: RateCard, factor: Fraction) -> RateCard:
    """Return the card with every rate, of every edition, times a factor."""

    def times(breaks: Breaks) -> Breaks:
        return {zone: tuple((up_to, price * factor) for up_to, price in steps) for zone, steps in breaks.items()}

    editions = tuple(
        edition if edition.rates is None else replace(edition, rates=times(edition.rates)) for edition in card.editions
    )
    return replace(card, rates=times(card.rates), editions=editions)


def _files(book: Book, ask: Ask) -> Iterator[tuple[FileKind, str, Path]]:
    """Yield the files an order looks at, and below which key: the product, the channel, the shop, fees, cards."""
    channel = book.shop.channels[ask.channel]
    yield "product", ask.product, ()
    yield "shop", "shop", ("channels", ask.channel)
    yield "shop", "shop", ()
    if channel.fee_profile:
        yield "fee-profile", channel.fee_profile, ()
    for card in route_of(book.shop, channel).cards:
        yield "rate-card", card, ()


def _places(book: Book, ask: Ask, path: Path) -> Iterator[Place]:
    """Yield every place where a path may lead; keys of the channel's table may stand without its name."""
    for kind, file, prefix in _files(book, ask):
        yield Place(kind, file, (*prefix, *path))
        if kind == "rate-card" and path[:2] == ("rate_cards", file):
            yield Place(kind, file, path[2:])
        if kind == "fee-profile" and path[:2] == ("fee_profiles", file):
            yield Place(kind, file, path[2:])


def _model(book: Book, kind: FileKind, file: str) -> Any:
    if kind == "shop":
        return book.shop
    if kind == "product":
        return book.products[file]
    return book.fee_profiles[file] if kind == "fee-profile" else book.rate_cards[file]


def _input(book: Book, ask: Ask, place: Place) -> Input | None:
    """Return the number at a place, with None for its value where the file has none; None if no number may be there."""
    model = _model(book, place.kind, place.file)
    indexed = with_places(model, place.path)
    kind = None if indexed is None else _kind_at(MODELS[place.kind], indexed)
    if kind is None or not kind.measures or indexed is None or not _NO_INPUTS.isdisjoint(indexed):
        return None
    value = value_at(model, indexed)
    if indexed[-2:-1] == ("zones",) and value == 1:
        return None  # the only zone there is has all the orders
    if isinstance(value, Purchase):
        value = value.price
    if isinstance(value, Measure):
        value = value.amount
    written = written_at(book.written.get((place.kind, place.file), {}), indexed)
    charged_in = _currency(book, ask, place)
    unit = unit_of(kind.measures, written, charged_in, value)
    above_zero = indexed[-1] == "good_share" or kind.measures == "whole" or not _takes_zero(kind)
    return Input(
        name=_name(model, place, indexed, ask.channel),
        place=Place(place.kind, place.file, indexed),
        value=value,
        unit=unit,
        least=unit.step if above_zero else Fraction(0),
        most=_most(book, ask, indexed, kind),
    )


# More units than this nobody orders at once of what is made by hand, and packing them takes ever longer to work out.
_MOST_UNITS: Final = Fraction(24)


def _takes_zero(kind: Kind) -> bool:
    try:
        kind.read(0, "")
    except QuantityError as error:
        return "zero" not in error.what
    return True


def _over_whole(kind: Kind) -> bool:
    """Whether a percent of this kind may be over 100 %, as a markup may."""
    try:
        kind.read("101 %", "")
    except QuantityError:
        return False
    return True


def _most(book: Book, ask: Ask, path: Path, kind: Kind) -> Fraction | None:
    """Return the largest value that makes sense: returned and damaged orders are shares of all orders."""
    if kind.measures == "whole":
        return _MOST_UNITS
    if kind.measures != "share" or _over_whole(kind):
        return None
    shop, channel, product = book.shop, book.shop.channels[ask.channel], book.products[ask.product]
    if path[-2:] == ("returns", "rate"):
        return 1 - (merged(product.breakage, channel.breakage, shop.breakage).rate or Fraction(0))
    if path[-2:] == ("breakage", "rate"):
        return 1 - (merged(product.returns, channel.returns, shop.returns).rate or Fraction(0))
    return Fraction(1)


def _name(model: Any, place: Place, path: Path, channel: str) -> str:
    """Return a path as it is asked for and shown: members of a list by their names where they have some."""
    parts: list[str | int] = ["rate_cards", place.file] if place.kind == "rate-card" else []
    if path[:2] == ("channels", channel):
        model, path = model.channels[channel], path[2:]
    for part in path:
        inner = inside(model, part)
        named = getattr(inner, "name", None) if isinstance(part, int) else None
        parts.append(str(named or part))
        model = inner
    return dotted(tuple(parts))


def _currency(book: Book, ask: Ask, place: Place) -> str:
    profile = book.fee_profiles.get(book.shop.channels[ask.channel].fee_profile or "")
    if place.kind == "fee-profile" and profile:
        return profile.currency
    if place.kind == "rate-card":
        return book.rate_cards[place.file].currency or book.shop.currency
    return book.shop.currency


def _kind_at(model: type, path: Path) -> Kind | None:
    annotation = annotation_at(model, path)
    if get_origin(annotation) is not Annotated:
        return None
    return next((mark for mark in annotation.__metadata__ if isinstance(mark, Kind)), None)
