"""The JSON Schemas: every key described, right files accepted, wrong ones refused by an independent validator."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from netprice.book.files import FOLDERS, FileKind
from netprice.book.keys import keys_of
from netprice.book.meaning import MEANING
from netprice.book.models import MODELS, tables_of
from netprice.book.schema import json_schema
from netprice.book.shipped import profiles_folder, starter_folder

ROOT = Path(__file__).parents[2]


def _files() -> list[tuple[FileKind, Path]]:
    found: list[tuple[FileKind, Path]] = [("fee-profile", path) for path in profiles_folder().glob("*.toml")]
    for shop in (ROOT / "examples" / "pottery", starter_folder(), ROOT / "tests" / "broken" / "base"):
        found.append(("shop", shop / "shop.toml"))
        found += [(kind, path) for name, kind in FOLDERS.items() for path in (shop / name).glob("*.toml")]
    return sorted(found)


FILES = _files()
SCHEMAS = {kind: Draft202012Validator(json_schema(kind)) for kind in MODELS}


def errors(kind: FileKind, document: dict[str, Any]) -> list[str]:
    return [error.message for error in SCHEMAS[kind].iter_errors(document)]


def read(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def test_every_key_has_a_meaning_and_no_meaning_is_left_over() -> None:
    keys = {
        (table.__name__, key.field)
        for model in MODELS.values()
        for table in tables_of(model)
        for key in keys_of(table).values()
    }

    assert keys == set(MEANING)
    assert all(text.endswith((".", "...")) and len(text) < 200 for text in MEANING.values())


def test_files_of_every_kind_are_tried() -> None:
    assert {kind for kind, _ in FILES} == set(MODELS)


@pytest.mark.parametrize(("kind", "path"), FILES, ids=lambda each: str(each).removeprefix(str(ROOT)))
def test_a_right_file_passes(kind: FileKind, path: Path) -> None:
    assert errors(kind, read(path)) == []


@pytest.mark.parametrize(("kind", "path"), FILES, ids=lambda each: str(each).removeprefix(str(ROOT)))
def test_a_misspelt_key_fails(kind: FileKind, path: Path) -> None:
    document = read(path)
    first = next(iter(document))
    document[f"{first}x"] = document[first]

    assert any(f"'{first}x' was unexpected" in message for message in errors(kind, document))


WRONG: list[tuple[FileKind, str]] = [
    ("shop", 'name = "A"\ncurrency = "USD"\ntarget = "margin 30 %"'),
    ("shop", 'name = "A"\ncurrency = "usd"\ntarget = "margin 30 %"\nchannels.fair = {}'),
    ("shop", 'name = "A"\ncurrency = "USD"\ntarget = "margin 30 %"\nchannels.fair.case = "maybe"'),
    ("shop", 'name = "A"\ncurrency = "USD"\ntarget = "margin 30 %"\nchannels.fair.residential = "yes"'),
    ("product", 'name = "Mug"\nlabour.making = {}'),
    ("product", 'name = "Mug"\nlabour.making.time = 3'),
    ("product", 'name = "Mug"\npacking.box = { length = "1 in", width = "1 in", height = "1 in", holds = 0 }'),
    ("fee-profile", 'name = "A"\ncurrency = "USD"\nfees = [{ name = "x", percent = 6.5 }]'),
    ("fee-profile", 'name = "A"\ncurrency = "USD"\nfees = [{ name = "x", fixed = -1 }]'),
    ("fee-profile", 'name = "A"\ncurrency = "USD"\nfees = [{ name = "x", from_ = 2026-01-01 }]'),
    ("rate-card", 'name = "A"\nlength_unit = "in"\nweight_unit = "lb"\nweight_step = 1\nrates.a = [[1]]'),
    ("rate-card", 'name = "A"\nlength_unit = "in"\nweight_unit = "lb"\nweight_step = 1\nrates.a = [[1, 2, 3]]'),
]


@pytest.mark.parametrize(("kind", "text"), WRONG, ids=lambda each: each[-40:])
def test_a_wrong_value_fails(kind: FileKind, text: str) -> None:
    assert errors(kind, tomllib.loads(text)) != []


@pytest.mark.parametrize("kind", MODELS)
def test_a_schema_is_one_of_the_draft_it_names(kind: FileKind) -> None:
    schema = json_schema(kind)

    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


def test_a_date_is_written_as_from_and_may_be_a_date() -> None:
    fee: dict[str, Any] = json_schema("fee-profile")["$defs"]["Fee"]  # type: ignore[index]

    assert "from" in fee["properties"]
    assert "from_" not in fee["properties"]
    assert "type" not in fee["properties"]["from"]
