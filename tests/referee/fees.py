"""Fees: what each of them takes from an order, what of it is kept on a refund, and how shares are averaged."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import product
from typing import NamedTuple

from .exact import ONE, ZERO, JsonDict, Money, field, number, optional, percent
from .order import Bill


class Charge(NamedTuple):
    """A fee's amount, the tax on it, and the part of both that stays charged on a refund."""

    amount: Fraction
    tax: Fraction
    kept: Fraction
    tax_kept: Fraction

    def times(self, factor: Fraction) -> "Charge":
        """The same charge weighted; nothing is rounded when averaging."""
        if factor == 1:
            return self
        return Charge(self.amount * factor, self.tax * factor, self.kept * factor, self.tax_kept * factor)


class Tier(NamedTuple):
    """One tier: its inclusive upper edge (None in the last), percent and own fixed amount."""

    up_to: Fraction | None
    percent: Fraction
    fixed: Fraction


@dataclass(frozen=True)
class Fee:
    """One fee in force."""

    name: str
    per: str
    base: str
    percent: Fraction
    bracket: bool
    tiers: list[Tier]
    fixed: Fraction
    minimum: Fraction | None
    cap: Fraction | None
    share: Fraction
    tax_rate: Fraction
    on_refund: JsonDict
    weight: Fraction

    def charge(self, base: Fraction, quantity: int, money: Money) -> Charge:
        """The charge on a base, spread over orders but before the fee's share."""
        base = max(base, ZERO)
        if self.per == "unit":
            amount = money.charge(self._within_bounds(base / quantity)) * quantity
        else:
            amount = money.charge(self._within_bounds(base))
        tax = money.charge(self.tax_rate * amount) if self.tax_rate else ZERO
        kept = self._kept(amount, money)
        tax_kept = tax if kept == amount else money.charge(self.tax_rate * kept)
        return Charge(amount, tax, kept, tax_kept).times(self.weight)

    def _within_bounds(self, base: Fraction) -> Fraction:
        amount = self._percent_part(base) + self.fixed
        if self.minimum is not None:
            amount = max(amount, self.minimum)
        return amount if self.cap is None else min(amount, self.cap)

    def _percent_part(self, base: Fraction) -> Fraction:
        """The percent part, with a whole tier's own fixed amount."""
        if not self.tiers:
            return self.percent * base
        total = below = ZERO
        for tier in self.tiers:
            last = tier.up_to is None or base <= tier.up_to
            if last and not self.bracket:
                return tier.percent * base + tier.fixed
            upper = base if tier.up_to is None else min(base, tier.up_to)
            total += tier.percent * (upper - below)
            below = upper
            if last:
                break
        return total

    def _kept(self, amount: Fraction, money: Money) -> Fraction:
        kind = self.on_refund["kind"]
        if kind == "kept" or self.per == "month":
            return amount
        if kind == "returned":
            return ZERO
        kept = min(amount, field(self.on_refund, "kept_fixed") + percent(self.on_refund, "kept_percent") * amount)
        cap = optional(self.on_refund, "kept_cap")
        return money.charge(kept if cap is None else min(kept, cap))


class Billed(NamedTuple):
    """A fee with its expected charge and with what it takes, tax included, when every shared fee hits."""

    fee: Fee
    expected: Charge
    in_full: Fraction


def read_fees(channel: JsonDict, today: date) -> list[Fee]:
    """The fees of a channel that are in force, those on the payout last."""
    fees = [_fee(entry, channel) for entry in channel.get("fees", []) if _in_force(entry, today)]
    return [fee for fee in fees if fee.base != "payout"] + [fee for fee in fees if fee.base == "payout"]


def bill_fees(fees: list[Fee], bill: Bill, quantity: int, money: Money, storefront_pays_tax: bool) -> list[Billed]:
    """All fees of an order."""
    bases = {
        "none": ZERO,
        "goods": bill.goods,
        "gross": bill.gross,
        "goods+shipping": bill.goods + bill.shipping,
        "order": bill.goods + bill.shipping + bill.extras,
        "buyer_total": bill.buyer_total,
        "net_sales": bill.net_sales,
    }
    billed = []
    payout = bill.buyer_total - (bill.tax if storefront_pays_tax else ZERO)
    shared: list[tuple[Fraction, Fraction]] = []
    for fee in fees:
        if fee.base == "payout":
            continue
        charge = fee.charge(bases[fee.base], quantity, money)
        in_full = charge.amount + charge.tax
        billed.append(Billed(fee, charge.times(fee.share), in_full))
        if fee.per in ("order", "unit"):
            if fee.share == 1:
                payout -= in_full
            else:
                shared.append((fee.share, in_full))
    payout_fees = [fee for fee in fees if fee.base == "payout"]
    patterns = _patterns(payout, shared) if payout_fees else []
    for fee in payout_fees:
        expected = [fee.charge(base, quantity, money).times(chance) for chance, base in patterns]
        everything = fee.charge(patterns[0][1], quantity, money)
        average = Charge(*(sum(column, ZERO) for column in zip(*expected, strict=True)))
        billed.append(Billed(fee, average.times(fee.share), everything.amount + everything.tax))
    return billed


def _patterns(payout: Fraction, shared: list[tuple[Fraction, Fraction]]) -> list[tuple[Fraction, Fraction]]:
    """Chance and payout base of every pattern of shared fees; the first is the one where all of them hit."""
    patterns = []
    for hits in product((True, False), repeat=len(shared)):
        chance, base = ONE, payout
        for hit, (share, amount) in zip(hits, shared, strict=True):
            chance *= share if hit else 1 - share
            base -= amount if hit else ZERO
        patterns.append((chance, base))
    return patterns


def _in_force(entry: JsonDict, today: date) -> bool:
    starts = date.fromisoformat(entry["from"]) if "from" in entry else today
    ends = date.fromisoformat(entry["until"]) if "until" in entry else today
    # A fee that hits no order is as good as none.
    return starts <= today <= ends and field(entry, "share", "1") > 0


def _fee(entry: JsonDict, channel: JsonDict) -> Fee:
    per = entry.get("per", "order")
    weight = ONE
    if per == "listing":
        weight = field(entry, "listings_per_order", "1")
    elif per == "month":
        weight = 1 / number(channel["orders_per_month"])
    tiers = [Tier(optional(tier, "up_to"), percent(tier), field(tier, "fixed")) for tier in entry.get("tiers", [])]
    minimum, cap = optional(entry, "minimum"), optional(entry, "cap")
    if minimum is not None and cap is not None and cap < minimum:
        raise ValueError(f"the cap of {entry['name']} is under its minimum")
    return Fee(
        name=entry["name"],
        per=per,
        base=entry.get("base", "none"),
        percent=percent(entry),
        bracket=entry.get("tier_kind") == "bracket",
        tiers=tiers,
        fixed=field(entry, "fixed"),
        minimum=minimum,
        cap=cap,
        share=field(entry, "share", "1"),
        tax_rate=percent(entry, "tax_percent"),
        on_refund=entry.get("on_refund", {"kind": "kept"}),
        weight=weight,
    )
