"""A JSON Schema (draft 2020-12) for each kind of file, so that editors complete and validate what people type.

It is made from the models that the reader itself uses; what each key means comes from `meaning`.
"""

from __future__ import annotations

from typing import Any, Final

from netprice.book.build import adapter
from netprice.book.files import FileKind
from netprice.book.keys import keys_of
from netprice.book.meaning import MEANING
from netprice.book.models import MODELS, tables_of

_TITLES: Final[dict[FileKind, str]] = {
    "shop": "A shop: shop.toml",
    "product": "A product: products/*.toml",
    "fee-profile": "A storefront's fees: fee_profiles/*.toml",
    "rate-card": "A carrier service: rate_cards/*.toml",
}


def json_schema(kind: FileKind) -> dict[str, object]:
    """Return the JSON Schema of a kind of file: "shop", "product", "fee-profile" or "rate-card".

    >>> json_schema("fee-profile")["required"]
    ['name', 'currency']
    """
    model = MODELS[kind]
    schema: dict[str, Any] = _plain(adapter(model).json_schema(by_alias=True))
    inner = schema.pop("$defs", {})
    for table in tables_of(model):
        described = schema if table is model else inner[table.__name__]
        for name, key in keys_of(table).items():
            described["properties"][name]["description"] = MEANING[table.__name__, key.field]
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": _TITLES[kind]}
    return {**head, **schema, "$defs": inner}


def _plain(schema: Any) -> Any:
    """Leave out what says nothing in a TOML file: keys that may be null, defaults of null, titles made from names."""
    if isinstance(schema, list):
        return [_plain(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    kept = {}
    for key, value in schema.items():
        if key in ("properties", "$defs"):
            kept[key] = {name: _plain(each) for name, each in value.items()}
        elif key == "anyOf" and {"type": "null"} in value:
            kept |= _plain(next(each for each in value if each != {"type": "null"}))
        elif key not in ("title", "propertyNames") and not (key == "default" and value is None):
            kept[key] = _plain(value)
    return kept
