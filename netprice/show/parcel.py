"""How an order travels, as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from netprice.answer.parcel import CardView, ParcelAnswer, ParcelView, ZoneLabel
from netprice.money import show_exact
from netprice.show.text import bullets, money, table, wrapped


def parcel_text(answer: ParcelAnswer, *, width: int) -> str:
    """Return the answer in one line, how each zone is served, each packing as the cards see it, and what to trim."""
    blocks = [wrapped(_head(answer), width)]
    if answer.sent:
        rows = [
            (
                sent.zone,
                f"{show_exact(sent.share * 100, 1)} %",
                sent.way or "no parcel",
                " and ".join(dict.fromkeys(sent.services)),
                money(sent.label_cost, answer.digits),
            )
            for sent in answer.sent
        ]
        header = ("zone", "orders", "packed as", "service", "label")
        blocks.append(table(rows, header, align=("left", "right", "left", "left", "right")))
    used = {name for sent in answer.sent for name in sent.packings}
    shown = [parcel for parcel in answer.parcels if parcel.cards and (parcel.packing in used or not used)]
    blocks += [_parcel(parcel) for parcel in shown]
    watch = [*answer.refused, *(_trim(answer, *trim) for trim in answer.trims)]
    others = [parcel.packing for parcel in answer.parcels if parcel not in shown]
    if others:
        watch.append(f"Dearer for this order, so not shown here: {', '.join(others)}; --json has them all.")
    if watch:
        blocks.append(bullets("To watch", watch, width))
    return "\n\n".join(blocks)


def _head(answer: ParcelAnswer) -> str:
    where = f"{answer.product} on {answer.channel}, {answer.quantity} an order at {money(answer.price, answer.digits)}"
    if answer.average is None:
        return f"{where} {answer.currency}: cannot be sent everywhere."
    average = f"{money(answer.average, answer.digits)} {answer.currency}"
    return f"{where} {answer.currency}: label and packing cost {average} on average."


def _trim(answer: ParcelAnswer, packing: str, side: str, off_mm: int, saves: Fraction) -> str:
    off = f"{show_exact(Fraction(off_mm, 10))} cm" if off_mm >= 10 else f"{off_mm} mm"
    return f"{off} less {side} of '{packing}' saves {money(saves, answer.digits)} {answer.currency} an order."


def _parcel(parcel: ParcelView) -> str:
    sides = " × ".join(show_exact(side / 10, 1) for side in parcel.sides_mm)
    units = "1 unit" if parcel.units == 1 else f"{parcel.units} units"
    title = f"Packed as '{parcel.packing}': {sides} cm, {show_exact(parcel.weight_g / 1000, 3)} kg with {units}"
    measured = table(
        [row for card in parcel.cards for row in _measured_rows(card)],
        ("service", "rounded", "actual", "volumetric", "billable"),
        align=("left", "right", "right", "right", "right"),
    )
    prices = table(
        [row for card in parcel.cards for row in _label_rows(card)],
        ("service", "zone", "rate", "surcharges", "fuel", "insured", "label"),
        align=("left", "left", *["right"] * 5),
    )
    return "\n\n".join((title, measured, prices, *(_ladder(card) for card in parcel.cards if card.ladder)))


def _measured_rows(card: CardView) -> Iterator[tuple[str, ...]]:
    measured, unit = card.measured, card.weight_unit
    sides = " × ".join(show_exact(side, 2) for side in (measured.length, measured.width, measured.height))
    weights = (card.weight, measured.volumetric_weight, measured.billable_weight)
    shown = (f"{show_exact(weight, 2)} {unit}" if weight else "–" for weight in weights)
    yield (card.service, f"{sides} {card.length_unit}", *shown)


def _label_rows(card: CardView) -> Iterator[tuple[str, ...]]:
    name = card.service
    for label in card.labels:
        if label.refused:
            yield (name, label.zone, "–", "–", "–", "–", "not carried")
        else:
            added = sum((amount for _, amount in label.surcharges), Fraction(0))
            parts = (label.rate, added, label.fuel, label.insurance, label.total)
            yield (name, label.zone, *(money(part, card.digits) for part in parts))
        name = ""


def _ladder(card: CardView) -> str:
    zones = [zone for zone, _ in card.ladder[0].prices]
    rows = [
        (
            f"{'>' if rung.here else ' '} {show_exact(rung.up_to)} {card.weight_unit}",
            *("–" if price is None else money(price, card.digits) for _, price in rung.prices),
        )
        for rung in card.ladder
    ]
    return table(rows, (f"{card.service}, up to", *zones), align=("left", *["right"] * len(zones)))


def parcel_json(answer: ParcelAnswer) -> dict[str, Any]:
    """Return the answer with every figure as an exact decimal."""
    return {
        "product": answer.product,
        "channel": answer.channel,
        "currency": answer.currency,
        "quantity": answer.quantity,
        "price": money(answer.price, answer.digits),
        "label_and_packing": None if answer.average is None else show_exact(answer.average),
        "zones": [
            {
                "zone": sent.zone,
                "share": show_exact(sent.share),
                "packed_as": sent.way,
                "services": list(sent.services),
                "label": show_exact(sent.label_cost),
            }
            for sent in answer.sent
        ],
        "refused": list(answer.refused),
        "packings": [_parcel_json(parcel) for parcel in answer.parcels],
        "trims": [
            {"packing": trim.packing, "side": trim.side, "off_mm": trim.off_mm, "saves": show_exact(trim.saves)}
            for trim in answer.trims
        ],
    }


def _parcel_json(parcel: ParcelView) -> dict[str, Any]:
    return {
        "packing": parcel.packing,
        "units": parcel.units,
        "sides_mm": [show_exact(side) for side in parcel.sides_mm],
        "weight_g": show_exact(parcel.weight_g),
        "services": [_card_json(card) for card in parcel.cards],
    }


def _card_json(card: CardView) -> dict[str, Any]:
    measured = card.measured
    return {
        "service": card.service,
        "currency": card.currency,
        "length_unit": card.length_unit,
        "weight_unit": card.weight_unit,
        "as_measured": [show_exact(side) for side in card.as_measured],
        "rounded": [show_exact(side) for side in (measured.length, measured.width, measured.height)],
        "girth": show_exact(measured.girth),
        "volume": show_exact(measured.volume),
        "actual_weight": show_exact(card.weight),
        "volumetric_weight": show_exact(measured.volumetric_weight),
        "billable_weight": show_exact(measured.billable_weight),
        "labels": [_label_json(label) for label in card.labels],
        "ladder": [
            {
                "up_to": show_exact(rung.up_to),
                "here": rung.here,
                "prices": {zone: None if price is None else show_exact(price) for zone, price in rung.prices},
            }
            for rung in card.ladder
        ],
    }


def _label_json(label: ZoneLabel) -> dict[str, Any]:
    if label.refused:
        return {"zone": label.zone, "refused": label.refused}
    return {
        "zone": label.zone,
        "rate": show_exact(label.rate),
        "surcharges": {name: show_exact(amount) for name, amount in label.surcharges},
        "fuel": show_exact(label.fuel),
        "insurance": show_exact(label.insurance),
        "label": show_exact(label.total),
    }
