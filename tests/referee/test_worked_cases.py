"""The referee itself: it works out every worked case to the expected result, whose figures come from elsewhere."""

import json
from pathlib import Path

import pytest

from tests.cases.test_cases import CASES
from tests.compare import differences

from .result import referee


@pytest.mark.slow
@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_referee_works_a_case_out_exactly(path: Path) -> None:
    want = json.loads(path.with_suffix(".expected.json").read_text(encoding="utf-8"))
    assert list(differences(want, referee(json.loads(path.read_text(encoding="utf-8"))))) == []
