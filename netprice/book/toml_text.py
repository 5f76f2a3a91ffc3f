r"""From the bytes of a file to a TOML table, safely: the text is looked over before it is parsed.

tomllib does the parsing. It has no limits of its own: deep nesting ends in a `RecursionError`, a key of many parts
takes time that grows with their square, and a long whole number is refused without saying where. One quick pass over
the tokens finds all of these first, with their line.

    >>> read_table(b"[prices]\nstep = 0.05")
    {'prices': {'step': Decimal('0.05')}}

Every fault is an `UnreadableError` that knows its line.
"""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal, InvalidOperation
from typing import Any, Final

Table = dict[str, Any]

MOST_NESTING: Final = 64
MOST_VALUES: Final = 30_000
_MOST_DOTS: Final = 64
_LONGEST_WORD: Final = 1000

# Possessive throughout, and open texts swallow the rest, so that no text is gone over twice.
_TOKEN = re.compile(
    r'"""(?:[^"\\]|\\.?|"(?!""))*+(?:"{3,5}|\Z)'
    r"|'''(?:[^']|'(?!''))*+(?:'{3,5}|\Z)"
    r'|"(?:[^"\\\n]|\\[^\n])*+"?'
    r"|'[^'\n]*+'?"
    r"|#[^\n]*+"
    r"|(?P<word>[A-Za-z0-9_.+:-]++)"
    r"|(?P<mark>[\[\]{}=,\n])",
    re.DOTALL,
)
_PLACE = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)\Z")

# What tomllib says, what we say, and how it is mended; the first that fits is taken.
_SAYINGS: Final = (
    ("twice", "a table that is there twice", "keep one of the two"),
    ("Cannot overwrite", "a key that is there twice", "keep one of the two"),
    ("Duplicate inline", "a key that is there twice", "keep one of the two"),
    ("namespace", "a table that was closed or is something else above", "write its keys in one place"),
    ("after a statement", "more than one value", "put texts such as '6.5 %' in quotes, one key a line"),
    ("Invalid value", "no value", "put texts in quotes; write numbers like 31.50"),
    ("Illegal character", "a text that is not closed or a character that cannot stand there", "close the quotes"),
    ("Unterminated", "a text that is not closed", "close the quotes"),
    ("date", "a date that does not exist", "write it as 2026-03-31"),
    ("Unclosed", "a list or table that is not closed", "add the missing bracket"),
    ("'=' after a key", "a key without '='", "write key = value; a key with other marks than a-z needs quotes"),
    ("key part", "no key", "write a name; one with other marks than a-z, 0-9, - and _ needs quotes"),
    ("declaration", "a table that is not closed or whose name needs quotes", 'write [name] or ["a name"]'),
    ("in a string", "a backslash in a text", "write it twice, or use single quotes"),
    ("hex value", "a backslash in a text", "write it twice, or use single quotes"),
    ("Escaped character", "a backslash in a text", "write it twice, or use single quotes"),
)


class UnreadableError(Exception):
    """A text that is no TOML, or more than is read: where, what and how to mend it."""

    def __init__(self, line: int, what: str, mend: str) -> None:
        super().__init__(line, what, mend)
        self.line = line
        self.what = what
        self.mend = mend


def decode(data: bytes) -> str:
    """Return the text of a file: UTF-8, with or without a byte order mark, and no NUL bytes."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise UnreadableError(1, "text in another encoding (got UTF-16)", "save the file as UTF-8")
    nul = data.find(b"\0")
    if nul >= 0:
        line = data.count(b"\n", 0, nul) + 1
        raise UnreadableError(line, "a NUL byte (got '\\x00')", "save the file as plain text in UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        got = data[error.start : error.start + 1]
        raise UnreadableError(line, f"text in another encoding (got byte 0x{got.hex()})", "save it as UTF-8") from None


def read_table(data: bytes) -> Table:
    """Return the table that a file's bytes hold; decimal numbers come as `Decimal`."""
    return parse(decode(data))


def parse(text: str) -> Table:
    """Return the table of a TOML text, or raise `UnreadableError` with the line of the first fault."""
    _look_over(text)
    try:
        return tomllib.loads(text, parse_float=_number)
    except tomllib.TOMLDecodeError as error:
        raise _told(str(error), text) from None
    except (RecursionError, ValueError):
        # The pass before keeps these out; they are caught in case it ever misses one.
        raise UnreadableError(1, "text too deep or numbers too long to read", "write it more plainly") from None


def _number(text: str) -> Decimal:
    """Return a decimal number; one whose exponent no `Decimal` can hold is as good as infinite, and refused as that."""
    try:
        return Decimal(text)
    except InvalidOperation:
        return Decimal("Infinity")


def _look_over(text: str) -> None:
    depth = dots = values = 0
    for token in _TOKEN.finditer(text):
        word, mark = token["word"], token["mark"]
        if word:
            dots += word.count(".")
            if len(word) > _LONGEST_WORD or dots > _MOST_DOTS:
                raise _too_much(text, token, f"a key or number that never ends (got {word[:20]!r} ...)", "shorten it")
        elif mark:
            dots = 0
            depth += (mark in "[{") - (mark in "]}")
            values += mark in "=,"
            if depth > MOST_NESTING:
                raise _too_much(text, token, f"brackets more than {MOST_NESTING} deep (got {mark!r})", "nest less")
            if values > MOST_VALUES:
                raise _too_much(text, token, f"too much for one file (got over {MOST_VALUES:,} values)", "split it up")


def _too_much(text: str, token: re.Match[str], what: str, mend: str) -> UnreadableError:
    return UnreadableError(text.count("\n", 0, token.start()) + 1, what, mend)


def _told(message: str, text: str) -> UnreadableError:
    place = _PLACE.search(message)
    lines = text.rstrip().split("\n")
    line = int(place["line"]) if place and place["line"] else len(lines)
    got = lines[line - 1].strip()[:40] if line <= len(lines) else "the end of the file"
    for needle, what, mend in _SAYINGS:
        if needle in message:
            return UnreadableError(line, f"{what} (got {got!r})", mend)
    return UnreadableError(line, f"no TOML (got {got!r})", "write lines such as key = value or [table]")
