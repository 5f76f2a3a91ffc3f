"""Our answers equal those of a referee that was written apart from them and tries every price and every value."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings

from tests.cases.answer import answer
from tests.compare import differences
from tests.properties.shops import case_of, seeds
from tests.referee import referee

JsonDict = dict[str, Any]


def in_order(result: JsonDict) -> JsonDict:
    """Sort the refusals, whose order nobody prescribes."""
    for channel in result["channels"]:
        channel["refused_services"].sort(key=lambda refusal: (refusal["service"], refusal["zone"]))
    return result


@settings(max_examples=4 * (settings.default or settings()).max_examples)  # the one that holds everything together
@given(seeds)
def test_prices_ledger_figures_and_all_other_answers_equal_the_referees(seed: int) -> None:
    case = case_of(seed)
    assert list(differences(in_order(referee(case)), in_order(answer(case)))) == []
