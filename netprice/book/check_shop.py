"""What must hold within the shop's own file, beyond the kinds of its single values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from fractions import Fraction

from netprice.book.around import Around
from netprice.book.check_overhead import check_overhead
from netprice.book.check_product import check_hour
from netprice.book.mistakes import Mistake, Path, lacking, nearest
from netprice.book.shop import Channel, Delivery, Discount, Machine, Shipping, Shop
from netprice.money import show_exact

_BUILT_UP = tuple(each.name for each in fields(Machine) if each.name not in ("rate", "hours_per_month"))
# For each policy the keys it must have and the ones it may have.
_POLICIES: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "free": ((), ()),
    "flat": (("first",), ("each_further",)),
    "free-from": (("threshold", "first"), ("each_further",)),
    "label": ((), ("handling",)),
    "label-share": (("share",), ()),
}
_SHIPPING_KEYS = ("first", "each_further", "threshold", "handling", "share")


def check_shop(shop: Shop, around: Around) -> Iterator[Mistake]:
    """Give every mistake within the shop's file."""
    for name, machine in shop.machines.items():
        yield from _machine(machine, ("machines", name), around)
    yield from check_overhead(shop.overhead, around.lines, "any product")
    yield from _zones(shop.buyers.zones, ("buyers", "zones"))
    yield from _delivery(shop.delivery, ("delivery",))
    for name, box in shop.boxes.items():
        if box.time is not None:
            yield from check_hour(box.paid_as, "packing", around.labour, ("boxes", name), "paid_as", "labour")
    if not shop.channels:
        yield Mistake(("channels",), "no channels", "add a place to sell, such as [channels.fair]")
    for name, channel in shop.channels.items():
        yield from _channel(channel, ("channels", name))


def _machine(machine: Machine, at: Path, around: Around) -> Iterator[Mistake]:
    given = [key for key in _BUILT_UP if getattr(machine, key) is not None]
    if machine.rate is not None:
        for key in given:
            mend = "keep the rate or what it is built from"
            yield Mistake((*at, key), f"no use beside a rate (got rate and {key})", mend)
        return
    if not given:
        yield Mistake(at, "no hourly rate and nothing to build it from", "add rate, or purchase_price and life")
        return
    for key, why in (("purchase_price", "what the machine cost"), ("life", "the hours that the machine lasts")):
        if getattr(machine, key) is None:
            yield lacking((*at, key), f"missing key: {why}", f"add {key}, or give a rate")
    if machine.life == 0:
        yield Mistake((*at, "life"), "a machine that lasts no time (got zero)", "write the hours that it lasts")
    if (machine.resale_value or 0) > (machine.purchase_price or machine.resale_value or 0):
        what = f"more than the machine cost (got {show_exact(machine.resale_value or 0)})"
        yield Mistake((*at, "resale_value"), what, "write a value up to the purchase_price")
    for key, other in (("power", "tariff"), ("tariff", "power")):
        if getattr(machine, key) is not None and getattr(machine, other) is None:
            yield lacking((*at, other), f"missing key: {key} needs it", f"add {other}, or take {key} out")
    yield from _attended(machine, at, around)


def _attended(machine: Machine, at: Path, around: Around) -> Iterator[Mistake]:
    labour = around.labour
    if machine.attended_by is not None and machine.attended is None:
        what = f"nobody attends it (got {machine.attended_by[:40]!r})"
        yield lacking((*at, "attended_by"), what, "add attended = the share of the time, or take it out")
    if labour is None:
        return
    if machine.attended_by is not None and machine.attended_by not in labour:
        mend = nearest(machine.attended_by, labour, "add it under [labour]")
        yield Mistake((*at, "attended_by"), f"no such name under [labour] (got {machine.attended_by[:40]!r})", mend)
    if machine.attended and machine.attended_by is None and "default" not in labour:
        what = "who attends it is not said, and there is no [labour.default]"
        yield lacking((*at, "attended"), f"{what} (got {show_exact(machine.attended * 100)} %)", "add attended_by")


def _zones(zones: Mapping[str, Fraction], at: Path) -> Iterator[Mistake]:
    total = sum(zones.values(), Fraction(0))
    if zones and total != 1:
        what = f"the shares do not add up to 100 % (got {show_exact(total * 100, 4)} %)"
        yield Mistake(at, what, "change them so that they do; thirds are written '1/3'")


def _delivery(delivery: Delivery, at: Path) -> Iterator[Mistake]:
    if delivery.rate_cards and delivery.label_cost is not None:
        yield Mistake((*at, "label_cost"), "a flat label cost beside rate cards (got both)", "keep one of the two")
    if delivery.rate_cards and delivery.handed_over:
        yield Mistake((*at, "handed_over"), "handed over, yet sent by rate cards (got both)", "keep one of the two")
    if delivery.service is not None and delivery.service not in delivery.rate_cards:
        mend = nearest(delivery.service, delivery.rate_cards, "add rate_cards = [...] with it")
        yield lacking((*at, "service"), f"none of the rate_cards here (got {delivery.service[:40]!r})", mend)


def _channel(channel: Channel, at: Path) -> Iterator[Mistake]:
    yield from _shipping(channel.shipping, (*at, "shipping"))
    for place, discount in enumerate(channel.discounts):
        yield from _discount(discount, (*at, "discounts", place))
    if channel.zones is not None:
        yield from _zones(channel.zones, (*at, "zones"))
    if channel.delivery is not None:
        yield from _delivery(channel.delivery, (*at, "delivery"))


def _shipping(shipping: Shipping, at: Path) -> Iterator[Mistake]:
    must, may = _POLICIES[shipping.policy]
    for key in _SHIPPING_KEYS:
        given = getattr(shipping, key) is not None
        if key in must and not given:
            yield lacking((*at, key), f"missing key: the policy {shipping.policy!r} needs it", f"add {key} = ...")
        if given and key not in (*must, *may):
            what = f"no use with the policy {shipping.policy!r} (got {key})"
            fitting = [policy for policy, keys in _POLICIES.items() if key in (*keys[0], *keys[1])]
            yield lacking((*at, key), what, f"take it out, or write policy = {' or '.join(map(repr, fitting))}")


def _discount(discount: Discount, at: Path) -> Iterator[Mistake]:
    if discount.percent is not None and discount.amount is not None:
        yield Mistake((*at, "amount"), "a percent and an amount in one discount (got both)", "make two discounts of it")
    if discount.percent is None and discount.amount is None:
        yield Mistake(at, "a discount of nothing", "add percent or amount")
