"""A mistake inside one file, by the path of its key; and the words that all mistakes are told in.

The rules of the book give mistakes. The reader knows the file, finds the line and makes each one a `Problem`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from typing import NamedTuple

Path = tuple[str | int, ...]
"""How to get to a key: names of tables and keys, and places in lists counted from 0."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_MOST_NAMES = 200
_LISTED = 10


class Mistake(NamedTuple):
    """One mistake: the path of the key it stands at, what is wrong, and how to mend it."""

    path: Path
    what: str
    mend: str
    lacks: tuple[Path, ...] = ()
    """The tables in one of which something is missing, if that is the mistake: the key may be there, but misspelt."""


def lacking(path: Path, what: str, mend: str) -> Mistake:
    """Return a mistake that is there because its own table lacks another key, or the key itself."""
    return Mistake(path, what, mend, lacks=(path[:-1],))


def dotted(path: Path) -> str:
    """Show a path as people read it: places in lists are counted from 1, odd names stand in quotes.

    >>> dotted(("channels", "craft fair", "discounts", 0, "percent"))
    'channels."craft fair".discounts[1].percent'
    """
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            name = part if len(part) <= 60 else f"{part[:57]}..."
            # Control characters and bidirectional marks must not rearrange the line that the message stands in.
            quoted = name if _BARE.fullmatch(name) else json.dumps(name, ensure_ascii=not name.isprintable())
            text += f".{quoted}" if text else quoted
    return text


def quoted(words: Iterable[str], joint: str = "or") -> str:
    """List words in quotes, no more than a line can hold.

    >>> quoted(["flat", "free", "label"])
    "'flat', 'free' or 'label'"
    """
    names = [repr(word[:60]) for word in words]
    if len(names) > _LISTED:
        return f"{', '.join(names[:_LISTED])} ..."
    return f"{', '.join(names[:-1])} {joint} {names[-1]}" if len(names) > 1 else "".join(names)


def nearest(word: str, known: Iterable[str], none: str, *, likeness: float = 0.6) -> str:
    """Return how to mend a word that is not among the known ones; `none` is what to do where there are none.

    >>> nearest("kilm", ["kiln", "wheel"], "add one")
    "did you mean 'kiln'?"
    >>> nearest("saw", ["kiln", "wheel"], "add one")
    "use 'kiln' or 'wheel'"
    """
    import difflib

    names = sorted(known)
    if not names:
        return none
    near = difflib.get_close_matches(word[:60], names, n=1, cutoff=likeness) if len(names) <= _MOST_NAMES else []
    return f"did you mean {near[0]!r}?" if near else f"use {quoted(names)}"
