"""Every worked case comes out exactly: each price and ledger figure, and the answers to all other questions."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cases.answer import answer
from tests.compare import differences

DATA = Path(__file__).parent / "data"
CASES = sorted(path for path in DATA.glob("*.json") if not path.name.endswith(".expected.json"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case_comes_out_exactly(path: Path) -> None:
    want = json.loads(path.with_suffix(".expected.json").read_text(encoding="utf-8"))
    got = answer(json.loads(path.read_text(encoding="utf-8")))
    assert list(differences(want, got)) == []


def test_there_are_cases() -> None:
    assert len(CASES) == 16


def test_a_case_without_any_allowed_price_says_so() -> None:
    case = json.loads((DATA / "01_cost_plus.json").read_text(encoding="utf-8"))
    case["prices"] |= {"step": "0.50", "endings": [".95"]}
    assert answer(case)["channels"][0]["status"] == "no_allowed_price"
