"""Why a price is out of reach, in words."""

from __future__ import annotations

from fractions import Fraction

from netprice.answer.price import PriceAnswer
from netprice.ledger.explain import money, percent
from netprice.ledger.order import Totals, expected, worst
from netprice.ledger.terms import Terms

_TAKEN = (("goods", "making it"), ("fees", "fees"), ("labels", "shipping labels"), ("set_asides", "set-asides"))


def reason(answer: PriceAnswer) -> str:
    """Return in one or two sentences why no price meets the target; "" where one does."""
    if answer.status == "met":
        return ""
    terms = answer.terms
    if answer.status == "refused":
        return f"nobody carries it to {' and '.join(terms.unreached)}: {why_refused(terms)}"
    if answer.undefined:
        return f"{answer.goal.target.kind} has no meaning here: the product takes none of those hours, or costs nothing"
    if answer.best is None or answer.ledger is None:
        return "no price leaves any net sales"
    best = measure_words(terms, answer.goal.target.kind, answer.best.measure)
    reached = f"the best is {best} at {money(terms, answer.best.price)}"
    totals = expected(answer.ledger) if answer.goal.case == "expected" else worst(answer.ledger)[1]
    if totals.net_sales <= 0:
        return reached
    in_the_way = sorted(_shares(totals), reverse=True)
    taken = ", ".join(f"{name} {percent(round_share(share))}" for share, name in in_the_way if share > 0)
    return f"{reached}; what stands in the way, as a share of net sales: {taken}"


def why_refused(terms: Terms) -> str:
    """Return why the order cannot be sent to the zones that nobody carries to."""
    refused = [str(refusal) for refusal in terms.refusals if refusal.zone in terms.unreached]
    return "; ".join(refused) or f"no packing takes an order of {terms.quantity}"


def _shares(totals: Totals) -> list[tuple[Fraction, str]]:
    return [(Fraction(getattr(totals, key)) / Fraction(totals.net_sales), name) for key, name in _TAKEN]


def round_share(share: Fraction) -> Fraction:
    """Round a share to a tenth of a percent, for showing it."""
    return Fraction(round(share * 1000), 1000)


def measure_words(terms: Terms, kind: str, measure: Fraction) -> str:
    """Return a measure in the words of its kind: "a margin of 28.4 %", "12.40 USD a machine hour"."""
    if kind in ("margin", "markup"):
        return f"a {kind} of {percent(Fraction(round(measure * 10_000), 10_000))}"
    shown = f"{money(terms, measure)} {terms.currency}"
    each = {"machine-hour": " a machine hour", "labour-hour": " a labour hour", "profit": " profit a unit"}
    return shown + each.get(kind, " profit an order")
