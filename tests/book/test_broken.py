"""The corpus of broken shops: each case has one mistake, and exactly the one line that is expected of it."""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from netprice.book.read import read_book

CORPUS = Path(__file__).parents[1] / "broken"
BASE = CORPUS / "base"


@dataclass(frozen=True)
class Case:
    title: str
    files: dict[str, str]
    added: dict[str, str]
    expected: str


def _cases() -> list[Case]:
    return [_case(text) for path in sorted(CORPUS.glob("*.txt")) for text in _split(path.read_text("utf-8"), "#####")]


def _split(text: str, mark: str) -> list[str]:
    return re.split(rf"^{re.escape(mark)} ", text, flags=re.MULTILINE)[1:]


def _case(text: str) -> Case:
    title, _, rest = text.partition("\n")
    body, _, expected = rest.partition("=== expected\n")
    parts = re.split(r"^(---|\+\+\+) (.*)\n", body, flags=re.MULTILINE)[1:]
    files: dict[str, dict[str, str]] = {"---": {}, "+++": {}}
    for mark, name, content in zip(parts[::3], parts[1::3], parts[2::3], strict=True):
        files[mark][name] = content
    return Case(title.strip(), files["---"], files["+++"], expected.strip())


def _write(case: Case, folder: Path) -> None:
    shutil.copytree(BASE, folder)
    for name, content in case.files.items():
        (folder / name).write_text(content, encoding="utf-8")
    for name, content in case.added.items():
        with (folder / name).open("a", encoding="utf-8") as file:
            file.write(content)


CASES = _cases()


def test_the_base_has_no_problems() -> None:
    assert read_book(BASE).problems == ()


def test_the_corpus_is_there_and_no_title_is_there_twice() -> None:
    titles = [case.title for case in CASES]
    assert len(titles) >= 80
    assert len(set(titles)) == len(titles)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.title)
def test_the_one_mistake_is_told_in_one_line(case: Case, tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    _write(case, folder)

    result = read_book(folder)

    assert result.book is None
    told = [str(problem).removeprefix(f"{folder}/") for problem in result.problems]
    assert told == [case.expected]
