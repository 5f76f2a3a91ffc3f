"""Compares two results field by field."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any


def differences(want: Any, got: Any, path: str = "") -> Iterator[str]:
    """Yield every place in which two JSON-like values differ."""
    if isinstance(want, dict) and isinstance(got, dict):
        for key in sorted({*want, *got}):
            if key not in got:
                yield f"{path}.{key} is missing"
            elif key not in want:
                yield f"{path}.{key} is not wanted"
            else:
                yield from differences(want[key], got[key], f"{path}.{key}")
    elif isinstance(want, list) and isinstance(got, list) and len(want) == len(got):
        for place, (one, other) in enumerate(zip(want, got, strict=True)):
            yield from differences(one, other, f"{path}[{place}]")
    elif want != got:
        yield f"{path}: wanted {str(want)[:120]}, got {str(got)[:120]}"
