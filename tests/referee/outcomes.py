"""How an order ends: delivered, returned, or damaged, each with its own money."""

from fractions import Fraction
from typing import NamedTuple

from .exact import ONE, ZERO, JsonDict, Money, field, number
from .fees import Billed
from .order import Bill
from .parcel import Currencies, Label


class Goods(NamedTuple):
    """Cost of all units of an order and what comes on top once per order, in the channel's currency."""

    units: Fraction
    order: Fraction


class Rules(NamedTuple):
    """A channel's rules for returns and damage, money in the channel's currency."""

    return_rate: Fraction
    shop_pays_return: bool
    return_label: Fraction | None
    resellable: Fraction
    refurbish: Fraction
    damage_rate: Fraction
    replace: bool
    recovered: Fraction


class Outcome(NamedTuple):
    """One way in which an order ends."""

    name: str
    probability: Fraction
    net_sales: Fraction
    fees: Fraction
    labels: Fraction
    goods: Fraction
    recoveries: Fraction


def read_rules(source: JsonDict, currencies: Currencies) -> Rules:
    """Read a channel's outcomes."""
    label = None
    if "return_label_cost" in source:
        label = Money(currencies.shop_digits, "half_up").charge(number(source["return_label_cost"])) * currencies.rate
    return Rules(
        return_rate=field(source, "return_rate"),
        shop_pays_return=source.get("return_label_paid_by", "shop") == "shop",
        return_label=label,
        resellable=field(source, "resellable_share"),
        refurbish=field(source, "refurbish_cost") * currencies.rate,
        damage_rate=field(source, "damage_rate"),
        replace=source.get("damage_remedy", "refund") == "replace",
        recovered=field(source, "recovered_share"),
    )


def outcomes(rules: Rules, bill: Bill, fees: list[Billed], label: Label, goods: Goods) -> list[Outcome]:
    """The outcomes that occur, for one zone at one price."""
    paid = sum((billed.expected.amount + billed.expected.tax for billed in fees), ZERO)
    spent = goods.units + goods.order
    delivered = ONE - rules.return_rate - rules.damage_rate
    found = [Outcome("delivered", delivered, bill.net_sales, paid, label.cost, spent, ZERO)]
    if not rules.return_rate and not rules.damage_rate:
        return found
    kept = sum((billed.expected.kept + billed.expected.tax_kept for billed in fees), ZERO)
    if rules.return_rate:
        back = ZERO
        if rules.shop_pays_return:
            back = label.without_insurance if rules.return_label is None else rules.return_label
        regained = rules.resellable * goods.units - rules.refurbish if rules.resellable else ZERO
        net = bill.net_sales - bill.refunded_sales
        found.append(Outcome("returned", rules.return_rate, net, kept, label.cost + back, spent, regained))
    if rules.damage_rate:
        recovered = rules.recovered * (spent + label.cost)
        if rules.replace:
            found.append(
                Outcome("damaged", rules.damage_rate, bill.net_sales, paid, 2 * label.cost, 2 * spent, recovered)
            )
        else:
            found.append(Outcome("damaged", rules.damage_rate, ZERO, kept, label.cost, spent, recovered))
    return found
