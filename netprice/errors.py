"""What can go wrong, as values that say where, what and how to mend it.

A `Problem` is one mistake in one place of one file. Reading gathers all of them; `InputError` carries them together.

    >>> print(Problem(file="shop.toml", line=3, key="curency", what="unknown key", mend="did you mean 'currency'?"))
    shop.toml:3: curency: unknown key; did you mean 'currency'?
"""

from __future__ import annotations

from typing import ClassVar, NamedTuple


class Problem(NamedTuple):
    """One mistake: the file and line it stands in, the key, what is wrong with it and how to mend it."""

    file: str
    line: int
    key: str
    what: str
    mend: str

    def __str__(self) -> str:
        key = f"{self.key}: " if self.key else ""
        return f"{self.file}:{self.line}: {key}{self.what}; {self.mend}"


class NetpriceError(Exception):
    """The root of every error that netprice raises on purpose; `exit_code` is what a command ends with."""

    exit_code: ClassVar[int] = 2


class QuantityError(NetpriceError, ValueError):
    """A text that is no amount, percent or quantity of the kind that was wanted."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(what, mend)
        self.what = what
        self.mend = mend

    def __str__(self) -> str:
        return f"{self.what}; {self.mend}"


class InputError(NetpriceError, ValueError):
    """What was read is wrong. `problems` holds every mistake that was found, sorted by file and line."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__(problems)
        self.problems = tuple(sorted(problems))

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


class QuestionError(NetpriceError, ValueError):
    """A question that cannot be asked of this shop: an unknown product or channel, or a target nobody understands."""
