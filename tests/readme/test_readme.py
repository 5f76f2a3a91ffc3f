"""The README says what netprice does: every example's output is the real one."""

from __future__ import annotations

from pathlib import Path

from tests.readme.examples import README, blocks, run, scratch


def test_every_example_prints_what_the_readme_says() -> None:
    examples = blocks(README.read_text(encoding="utf-8"))
    assert len(examples) >= 5
    with scratch() as folder:  # in turn, since one example may begin a shop that the next one asks
        for example in examples:
            assert run(example, Path(folder)) == example
