"""Whatever stands in the files, reading ends with a book or with problems, one line each, and never with an error."""

from __future__ import annotations

import random
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from netprice.book.files import FileKind
from netprice.book.keys import keys_of
from netprice.book.models import MODELS, tables_of
from netprice.book.read import read_book
from netprice.book.shipped import starter_folder
from tests.toml import Raw, dumps

FILES: dict[FileKind, str] = {
    "shop": "shop.toml",
    "product": "products/mug.toml",
    "fee-profile": "fee_profiles/stall.toml",
    "rate-card": "rate_cards/van.toml",
}
BASE = Path(__file__).parents[1] / "broken" / "base"
RIGHT = [path.read_bytes() for folder in (BASE, starter_folder()) for path in sorted(folder.rglob("*.toml"))]
SETTINGS = settings(max_examples=700, deadline=None, suppress_health_check=list(HealthCheck))


@contextmanager
def shop_with(kind: FileKind, data: bytes) -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as parent:
        folder = Path(parent) / "shop"
        shutil.copytree(BASE, folder)
        (folder / FILES[kind]).write_bytes(data)
        yield folder


def holds(kind: FileKind, data: bytes) -> None:
    with shop_with(kind, data) as folder:
        start = time.perf_counter()
        result = read_book(folder)
        took = time.perf_counter() - start
    assert (result.book is None) == bool(result.problems)
    assert took < 5
    lines = data.count(b"\n") + 1
    for problem in result.problems:
        told = str(problem)
        assert told.isprintable(), told
        assert len(told) < 1000
        assert problem.file.startswith(str(folder))
        assert problem.what
        assert problem.mend
        assert problem.line >= 1
        if problem.file.endswith(FILES[kind]):
            assert problem.line <= lines


kinds = st.sampled_from(sorted(FILES))


@SETTINGS
@given(kinds, st.binary(max_size=300))
def test_any_bytes(kind: FileKind, data: bytes) -> None:
    holds(kind, data)


def mutated(seed: int) -> bytes:
    """Return a right file with a few things done to it that an editor, a disk or a clumsy hand does."""
    rng = random.Random(seed)
    data = bytearray(rng.choice(RIGHT))
    for _ in range(rng.randint(1, 4)):
        start = rng.randrange(len(data) + 1)
        end = min(start + rng.choice((0, 1, 1, 3, 20)), len(data))
        lines = bytes(data).split(b"\n")
        match rng.randrange(5):
            case 0:
                data[start:end] = b""
            case 1:
                data[start:start] = rng.choice(
                    (b'"', b"[", b"]", b"{", b"=", b".", b"#", b"\n", b"'", b"9", b"-", b"\\")
                )
            case 2:
                data[start:end] = rng.randbytes(end - start)
            case 3:
                data[start:start] = data[start : start + 40]
            case 4:
                place = rng.randrange(len(lines))
                lines.insert(rng.randrange(len(lines)), lines.pop(place))
                data = bytearray(b"\n".join(lines))
    return bytes(data)


@SETTINGS
@given(kinds, st.integers(0, 2**32))
def test_right_files_that_were_damaged(kind: FileKind, seed: int) -> None:
    holds(kind, mutated(seed))


KEYS = sorted({key for model in MODELS.values() for table in tables_of(model) for key in keys_of(table)})
TEXTS = (
    """
USD|EUR|XYZ|mug|fair|stall|van|clay|making|default|near|all|labour|material.clay|payout|goods|flat|label|partly|whole|kept
bracket|month|listing|unit|batch|product|order|always|length|margin|in|kg|0.00|.95|80|-1|1/3|1/0|３|%||margin 30 %|6.5 %
120 %|45 min|0.95 kg|12 in|24 USD/hour|31.50 USD / 12.5 kg
""".strip()
    .replace("\n", "|")
    .split("|")
)
RAWS = "nan|inf|-inf|1e999999|-0.0|0|1|3|0.5|2026-03-31|2026-03-31T08:00:00|08:00:00|0x10".split("|")  # noqa: SIM905
raws = st.sampled_from(RAWS).map(Raw)
texts = st.sampled_from(TEXTS) | st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
keys = st.sampled_from(KEYS) | texts
values = st.recursive(
    raws | texts | st.booleans(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=5),
    max_leaves=30,
)


@st.composite
def near_right(draw: st.DrawFn, kind: FileKind) -> dict[str, Any]:
    """Draw a table whose keys are those of the kind, at every level, with anything in them."""

    def table(model: type, depth: int) -> dict[str, Any]:
        known = keys_of(model)
        chosen = draw(st.lists(st.sampled_from(sorted(known)), unique=True, max_size=6))
        chosen += [
            name for name, key in known.items() if key.required and draw(st.integers(0, 9)) and name not in chosen
        ]
        return {name: value(known[name].annotation, depth) for name in chosen}

    def value(annotation: Any, depth: int) -> Any:
        inner = [each for each in tables_of_annotation(annotation) if depth < 4]
        if not inner or not draw(st.integers(0, 9)):
            return draw(values)
        made = table(inner[0], depth + 1)
        if annotation is inner[0]:
            return made
        return [made] if getattr(annotation, "__origin__", None) is tuple else {draw(keys): made}

    return table(MODELS[kind], 0)


def tables_of_annotation(annotation: Any) -> list[type]:
    return [
        each for model in MODELS.values() for each in tables_of(model) if each in (annotation, *args_of(annotation))
    ]


def args_of(annotation: Any) -> tuple[Any, ...]:
    return getattr(annotation, "__args__", ())


documents = kinds.flatmap(
    lambda kind: st.tuples(st.just(kind), st.dictionaries(keys, values, max_size=6) | near_right(kind))
)


@SETTINGS
@given(documents)
def test_tables_of_known_keys_with_anything_in_them(document: tuple[FileKind, dict[str, Any]]) -> None:
    kind, table = document
    holds(kind, dumps(table).encode("utf-8", "replace"))


@pytest.mark.slow
@settings(max_examples=50_000, deadline=None, suppress_health_check=list(HealthCheck))
@given(kinds, st.integers(0, 2**64))
def test_right_files_that_were_damaged_for_long(kind: FileKind, seed: int) -> None:
    holds(kind, mutated(seed))


@pytest.mark.slow
@settings(max_examples=50_000, deadline=None, suppress_health_check=list(HealthCheck))
@given(documents)
def test_tables_of_known_keys_for_long(document: tuple[FileKind, dict[str, Any]]) -> None:
    kind, table = document
    holds(kind, dumps(table).encode("utf-8", "replace"))
