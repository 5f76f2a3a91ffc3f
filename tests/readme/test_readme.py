"""The README says what netprice does: every example's output is the real one."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

import pytest

from tests.readme.examples import README, ROOT, blocks, run, scratch


def test_every_example_prints_what_the_readme_says() -> None:
    examples = blocks(README.read_text(encoding="utf-8"))
    assert len(examples) >= 5
    with scratch() as folder:  # in turn, since one example may begin a shop that the next one asks
        for example in examples:
            assert run(example, Path(folder)) == example


def test_the_python_example_gives_what_the_readme_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    found = re.findall(r"^```python\n(.*?)^```$", README.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)
    assert found
    for place, block in enumerate(found):
        test = doctest.DocTestParser().get_doctest(block, {}, f"README python {place}", str(README), 0)
        assert doctest.DocTestRunner().run(test).failed == 0
