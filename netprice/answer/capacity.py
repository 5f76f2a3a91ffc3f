"""What to make of the hours of a month: the products and channels that leave the most, and what an hour is worth.

What is weighed is the contribution: what an order leaves while overhead is paid anyway. A channel's fees per month are
saved where nothing is sold on it, so they count once for each channel that is used. Amounts are in whole units of the
shop's currency, hours in hours, and all of them are exact; only `worth` comes from a search in floats.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from netprice.answer.hours import Resource, hours_said, hours_stated
from netprice.answer.mix import Charge, Choice, Limit, Mix, best_mix, worths
from netprice.answer.offers import LeftOut, Offer, Offered, offers_of
from netprice.answer.spoken import Number
from netprice.book.shop import Book, Shop
from netprice.errors import QuestionError
from netprice.money import minor_digits

ZERO = Fraction(0)
# The searches that ask "what if there were one more" are many, so each gets less time than the first.
_SECONDS_EACH: Final = 2.0


class Use(NamedTuple):
    """How much of a machine or a kind of work (in hours), or of a channel (in orders), is used, and how much there is.

    `there_is` is None where no limit is stated. `in_whole_batches` is what is used if every batch that is begun is made
    in full. Where promised orders cannot be made, `used` is what they take and `lacking` how much is not there.

    `worth` is what one more of it adds where orders may be split (the shadow price, on top of what an hour costs
    already); `one_more` what one more really adds, in whole orders, or less in a shop so large that the search ended
    early. `wanted` is how much the best mix would use if there were no end of it: None where that has no end, or where
    one more adds nothing.
    """

    resource: Resource
    used: Fraction
    there_is: Fraction | None
    in_whole_batches: Fraction
    lacking: Fraction
    worth: Fraction = ZERO
    one_more: Fraction = ZERO
    wanted: Fraction | None = None

    @property
    def scarce(self) -> bool:
        """Whether one more of it would add anything."""
        return self.worth > 0 or self.one_more > 0


class Capacity(NamedTuple):
    """The mix of a month that leaves the most; in `offers` those stand first that earn most per scarce hour.

    `contribution` is what all orders leave after `fees`, the fees per month of the channels that are used; it is None
    where promised orders cannot be made, as `lacks` says, or where there are no offers at all. `unused` is what the
    fees per month of the other channels would be. `batches` is how many batches of each product the mix fills, of those
    whose batches take hours.
    `promises_cost` is how much more the best mix would leave if no order were promised, and `short_of_best` how much
    more another mix could leave: 0 where it is proved that none does.
    """

    currency: str
    digits: int
    offers: tuple[Offer, ...]
    uses: tuple[Use, ...]
    contribution: Fraction | None
    fees: Mapping[str, Fraction]
    unused: Mapping[str, Fraction]
    batches: Mapping[str, Fraction]
    left_out: tuple[LeftOut, ...]
    not_asked: tuple[str, ...]
    """Products of the shop that take no part."""
    promises_cost: Fraction = ZERO
    short_of_best: Fraction = ZERO

    @property
    def lacks(self) -> tuple[Use, ...]:
        """Return what there is too little of for the orders that are promised."""
        return tuple(use for use in self.uses if use.lacking)

    @property
    def scarce(self) -> tuple[Use, ...]:
        """Return the machines and kinds of work of which one more hour would add something, the dearest first."""
        return _scarce(self.uses)

    @property
    def met(self) -> bool:
        """Whether there is a mix, and every promised order can be made and sold."""
        return self.contribution is not None and not any(left_out.at_least for left_out in self.left_out)


class _Month(NamedTuple):
    """What there is to choose from. The limits of `choice` are `limits`, in their order; its amounts in minor units."""

    offers: tuple[Offer, ...]
    resources: tuple[Resource, ...]
    limits: Mapping[Resource, Fraction]
    fees: Mapping[str, Fraction]
    choice: Choice
    scale: int


def capacity(book: Book, offered: Sequence[Offered], hours: Mapping[str, Number] | None = None) -> Capacity:
    """Return the mix that leaves the most from the hours of a month, in whole orders.

    `hours` says other hours than the shop states, by the name of the machine or kind of work: {"kiln": "130 hours"}.
    Raises `QuestionError` where nothing is offered, or nothing limits how many orders of an offer there are.
    """
    if not offered:
        raise QuestionError("nothing to choose from: no product is sold on such a channel; name others")
    offers, left_out = offers_of(book, offered)
    month = _month(book.shop, offers, hours or {})
    promised = month.choice.at_least
    uses, mix = _uses(month, promised), None
    if offers and not any(use.lacking for use in uses):
        _refuse_endless(month)
        mix = best_mix(month.choice)
        uses = _valued(month, _uses(month, mix.orders), mix)
    fees = _fees(month, mix.orders if mix else promised)
    return Capacity(
        currency=book.shop.currency,
        digits=minor_digits(book.shop.currency),
        offers=_ranked(month.offers, mix, _scarce(uses)),
        uses=tuple(uses),
        contribution=None if mix is None else mix.left / month.scale,
        fees=fees,
        unused={channel: fee for channel, fee in month.fees.items() if channel not in fees},
        batches=_batches(month, mix.orders if mix else promised),
        left_out=left_out,
        not_asked=tuple(name for name in book.products if name not in {each.asked.ask.product for each in offered}),
        promises_cost=_promises_cost(month.choice, mix) / month.scale if mix else ZERO,
        short_of_best=mix.short_of_best / month.scale if mix else ZERO,
    )


def _month(shop: Shop, offers: tuple[Offer, ...], hours: Mapping[str, Number]) -> _Month:
    resources, limits = _limits(shop, offers, hours)
    fees = {offer.channel: offer.fees_per_month for offer in offers if offer.fees_per_month}
    scale = 10 ** minor_digits(shop.currency)
    choice = Choice(
        leaves=tuple(offer.leaves * scale for offer in offers),
        at_least=tuple(offer.demand.at_least for offer in offers),
        most=tuple(offer.demand.most for offer in offers),
        limits=tuple(
            Limit(tuple(offer.needs(resource) for offer in offers), there_is) for resource, there_is in limits.items()
        ),
        charges=tuple(
            Charge(fee * scale, tuple(place for place, offer in enumerate(offers) if offer.channel == channel))
            for channel, fee in fees.items()
        ),
    )
    return _Month(offers, resources, limits, fees, choice, scale)


def _limits(
    shop: Shop, offers: tuple[Offer, ...], hours: Mapping[str, Number]
) -> tuple[tuple[Resource, ...], dict[Resource, Fraction]]:
    """Return everything that the offers take, machines first, and how much there is of what has an end."""
    machines, labour = (
        (Resource("machine", name) for name in shop.machines),
        (Resource("labour", n) for n in shop.labour),
    )
    taken = {resource for offer in offers for resource in offer.takes}
    known = dict.fromkeys((*machines, *labour, *sorted(taken)))
    said = hours_said(hours, known)
    channels = dict.fromkeys(offer.channel for offer in offers)
    orders = {name: shop.channels[name].orders_per_month for name in channels}
    there_is = {
        **hours_stated(shop),
        **said,
        **{Resource("channel", name): Fraction(math.floor(each)) for name, each in orders.items() if each is not None},
    }
    resources = (
        *(each for each in known if each in taken or each in said),
        *(Resource("channel", name) for name in channels),
    )
    return resources, {resource: there_is[resource] for resource in resources if resource in there_is}


def _refuse_endless(month: _Month) -> None:
    endless = [month.offers[kind] for kind in month.choice.endless]
    if endless:
        more = f" and {len(endless) - 1} more" if len(endless) > 1 else ""
        raise QuestionError(
            f"nothing limits the orders of {endless[0].product} on {endless[0].channel}{more}; add hours_per_month to"
            " what makes it, orders_per_month to the channel, or most under [demand] to the product"
        )


def _uses(month: _Month, orders: Sequence[int]) -> list[Use]:
    """Return what so many orders of each offer use, and what is lacking for them."""
    batches = _batches(month, orders)
    firings = {offer.product: offer.batch_hours for offer in month.offers}
    uses = []
    for resource in month.resources:
        used = sum((offer.needs(resource) * n for offer, n in zip(month.offers, orders, strict=True)), ZERO)
        unfilled = (
            (math.ceil(filled) - filled) * firings[product].get(resource, ZERO) for product, filled in batches.items()
        )
        there_is = month.limits.get(resource)
        lacking = ZERO if there_is is None else max(used - there_is, ZERO)
        uses.append(Use(resource, used, there_is, used + sum(unfilled, ZERO), lacking))
    return uses


def _batches(month: _Month, orders: Sequence[int]) -> dict[str, Fraction]:
    """Return how many batches of each product so many orders fill, of those whose batches take hours."""
    filled: dict[str, Fraction] = {}
    for offer, count in zip(month.offers, orders, strict=True):
        if count and offer.batch_hours:
            filled[offer.product] = filled.get(offer.product, ZERO) + offer.made * count / offer.batch
    return filled


def _valued(month: _Month, uses: Sequence[Use], mix: Mix) -> list[Use]:
    """Return the uses with what one more of each is worth."""
    worth = dict(zip(month.limits, worths(month.choice, mix.orders), strict=True))
    places = {resource: place for place, resource in enumerate(month.limits)}
    return [
        _with_worth(month, use, mix, places[use.resource], worth[use.resource]) if use.resource in places else use
        for use in uses
    ]


def _with_worth(month: _Month, use: Use, mix: Mix, place: int, worth: Fraction) -> Use:
    choice = month.choice
    more = best_mix(choice.with_limit(place, month.limits[use.resource] + 1), _SECONDS_EACH)
    one_more = max(more.left - mix.left, ZERO)
    valued = use._replace(worth=worth / month.scale, one_more=one_more / month.scale)
    return valued._replace(wanted=_wanted(choice, place)) if valued.scarce else valued


def _wanted(choice: Choice, place: int) -> Fraction | None:
    """Return how much of a limited thing the best mix would use if there were no end of it."""
    without_end = choice.with_limit(place, None)
    if without_end.endless:
        return None
    return choice.taken(best_mix(without_end, _SECONDS_EACH).orders)[place]


def _promises_cost(choice: Choice, mix: Mix) -> Fraction:
    """Return how much more could be left if no order were promised."""
    if not any(choice.at_least):
        return ZERO
    return max(best_mix(choice._replace(at_least=(0,) * len(choice.leaves)), _SECONDS_EACH).left - mix.left, ZERO)


def _fees(month: _Month, orders: Sequence[int]) -> dict[str, Fraction]:
    """Return the fees per month of the channels on which anything is sold."""
    used = {offer.channel for offer, count in zip(month.offers, orders, strict=True) if count}
    return {channel: fee for channel, fee in month.fees.items() if channel in used}


def _ranked(offers: Sequence[Offer], mix: Mix | None, scarce: Sequence[Use]) -> tuple[Offer, ...]:
    """Return the offers with their orders; first those that take nothing scarce or earn most per scarcest hour."""
    if mix is not None:
        offers = [offer._replace(orders=count) for offer, count in zip(offers, mix.orders, strict=True)]

    def rank(offer: Offer) -> tuple[bool, Fraction]:
        an_hour = offer.an_hour(scarce[0].resource) if scarce else None
        return an_hour is not None, -offer.leaves if an_hour is None else -an_hour

    return tuple(sorted(offers, key=rank))


def _scarce(uses: Sequence[Use]) -> tuple[Use, ...]:
    found = (use for use in uses if use.scarce and use.resource.kind != "channel")
    return tuple(sorted(found, key=lambda use: (-use.worth, -use.one_more)))
