"""Every worked case comes out exactly: each ledger figure, the lowest price, the safe floor and the traps."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.cases.answer import answer
from tests.compare import differences

DATA = Path(__file__).parent / "data"
CASES = sorted(path for path in DATA.glob("*.json") if not path.name.endswith(".expected.json"))
# Questions of their own, beside the price and the ledger of an order.
OTHER_QUESTIONS = ("limits", "giveaway", "refunds", "comparison")


def without_other_questions(result: dict[str, Any]) -> dict[str, Any]:
    channels = [{key: value for key, value in each.items() if key != "limits"} for each in result["channels"]]
    kept = {key: value for key, value in result.items() if key not in OTHER_QUESTIONS}
    return {**kept, "channels": channels}


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case_comes_out_exactly(path: Path) -> None:
    want = json.loads(path.with_suffix(".expected.json").read_text(encoding="utf-8"))
    got = answer(json.loads(path.read_text(encoding="utf-8")))
    assert list(differences(without_other_questions(want), without_other_questions(got))) == []


def test_there_are_cases() -> None:
    assert len(CASES) == 16


def test_a_case_without_any_allowed_price_says_so() -> None:
    case = json.loads((DATA / "01_cost_plus.json").read_text(encoding="utf-8"))
    case["prices"] |= {"step": "0.50", "endings": [".95"]}
    assert answer(case)["channels"][0]["status"] == "no_allowed_price"
