"""Which files a shop folder has, and reading them safely: small, regular, quick, and never more than is sensible.

    shop.toml            required
    products/*.toml      fee_profiles/*.toml      rate_cards/*.toml
    rate_cards/*.csv     only those that a rate card names as its table

Names that begin with a point are left out: editors and file managers leave such files behind.
"""

from __future__ import annotations

import os
import stat
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Final, Literal, NamedTuple

from netprice.book.toml_text import Table, UnreadableError, read_table
from netprice.errors import Problem

FileKind = Literal["shop", "product", "fee-profile", "rate-card"]
FOLDERS: Final[dict[str, FileKind]] = {"products": "product", "fee_profiles": "fee-profile", "rate_cards": "rate-card"}

MOST_BYTES: Final = 1 << 20
MOST_BYTES_IN_ALL: Final = 64 << 20
MOST_FILES: Final = 20_000
_LONGEST_NAME: Final = 200


class Source(NamedTuple):
    """A file as it was found. `table` is None where it could not be read; then there is a problem that says why."""

    kind: FileKind
    name: str
    """The file's name without `.toml`: what the shop calls the product, profile or card."""
    shown: str
    """The path as the user typed the folder."""
    folder: Path
    data: bytes = b""
    table: Table | None = None


@dataclass(slots=True)
class Found:
    """What was found in the folder, and what was wrong with the files themselves."""

    sources: list[Source] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    bytes_left: int = MOST_BYTES_IN_ALL

    def read(self, path: Path, kind: FileKind) -> None:
        """Read one file and keep it, or the problem with it."""
        shown, name = printable(path), unicodedata.normalize("NFC", path.stem)
        data, table = b"", None
        try:
            data = self.bytes_of(path)
            table = read_table(data)
        except UnreadableError as error:
            self.problems.append(Problem(file=shown, line=error.line, key="", what=error.what, mend=error.mend))
        self.sources.append(Source(kind=kind, name=name, shown=shown, folder=path.parent, data=data, table=table))

    def bytes_of(self, path: Path) -> bytes:
        """Return what is in a file, within what may be read of the folder in all; or raise `UnreadableError`."""
        data = _bytes(path, self.bytes_left)
        self.bytes_left -= len(data)
        return data

    def wrong(self, path: Path, what: str, mend: str) -> None:
        """Keep a problem with a file or folder as a whole."""
        self.problems.append(Problem(file=printable(path), line=1, key="", what=what, mend=mend))


def printable(path: Path) -> str:
    """Return a path to show: marks that would break or rearrange the line are written as escapes.

    >>> printable(Path("shop/products/vase.toml"))
    'shop/products/vase.toml'
    """
    text = str(path)
    return text if text.isprintable() else "".join(m if m.isprintable() else ascii(m)[1:-1] for m in text)


def read_folder(folder: Path) -> Found:
    """Read every file of a shop folder."""
    found = Found()
    if _mode(folder) is None:
        found.wrong(folder, "no such folder", "name a shop folder; 'netprice init DIR' starts one")
        return found
    if not stat.S_ISDIR(_mode(folder) or 0):
        found.wrong(folder, "no folder (got a file)", "name the folder that the shop.toml is in")
        return found
    if _mode(folder / "shop.toml", follow=False) is None:
        found.wrong(folder / "shop.toml", "no such file", "a shop needs one; 'netprice init DIR' starts a shop folder")
    else:
        found.read(folder / "shop.toml", "shop")
    left = MOST_FILES
    for name, kind in FOLDERS.items():
        left -= _read_all(found, folder / name, kind, left)
        if left < 0:
            too_many = f"too many files (got more than {MOST_FILES:,} in all)"
            alone = Found()
            alone.wrong(folder / name, too_many, "split the shop into several")
            return alone
    return found


def _read_all(found: Found, folder: Path, kind: FileKind, left: int) -> int:
    """Read the files of a folder, unless there are more than are left to read; return how many there are."""
    if _mode(folder, follow=False) is None:
        return 0
    try:
        paths = list(_toml_files(folder, left + 1))
    except OSError as error:
        found.wrong(folder, f"no folder that can be read (got {_reason(error)!r})", "make it a folder of .toml files")
        return 0
    seen: set[str] = set()
    for path in sorted(paths) if len(paths) <= left else ():
        name = unicodedata.normalize("NFC", path.stem)
        if not name.isprintable() or len(name) > _LONGEST_NAME:
            found.wrong(path, "a file name with invisible characters in it, or endless", "rename the file")
        elif name in seen:
            found.wrong(path, f"two files of one name (got {name!r})", "rename one of the two")
        else:
            seen.add(name)
            found.read(path, kind)
    return len(paths)


def tables_in(folder: Path) -> dict[str, Path]:
    """Return the .csv files of a folder by their names, as far as it can be read."""
    try:
        with os.scandir(folder) as entries:
            names = sorted(entry.name for entry in islice(entries, 2 * MOST_FILES))
    except OSError:
        return {}
    tables = (name for name in names if name.lower().endswith(".csv") and not name.startswith("."))
    return {unicodedata.normalize("NFC", name): folder / name for name in tables}


def _toml_files(folder: Path, most: int) -> Iterator[Path]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.endswith(".toml") and not entry.name.startswith("."):
                yield folder / entry.name
                most -= 1
                if most == 0:
                    return


def _bytes(path: Path, bytes_left: int) -> bytes:
    """Return what is in a regular file, or raise `UnreadableError`.

    It is asked for its kind before it is opened, since opening some devices does something, and once more afterwards,
    since it may have been changed for another in between. Opening never waits, as it would for a pipe.
    """
    try:
        _regular(path.stat())
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOCTTY", 0)
        with os.fdopen(os.open(path, flags), "rb") as file:
            _regular(os.fstat(file.fileno()))
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise UnreadableError(
            1, f"no file that can be read (got {_reason(error)!r})", "put a readable file there"
        ) from None
    if len(data) > MOST_BYTES:
        raise UnreadableError(1, "a file too large (got more than 1 MiB)", "keep each file under 1 MiB")
    if len(data) > bytes_left:
        raise UnreadableError(1, "too many large files (got more than 64 MiB in all)", "split the shop into several")
    return data


def _regular(status: os.stat_result) -> None:
    kinds = {
        stat.S_IFDIR: "a folder",
        stat.S_IFIFO: "a pipe",
        stat.S_IFSOCK: "a socket",
        stat.S_IFCHR: "a device",
        stat.S_IFBLK: "a device",
    }
    kind = stat.S_IFMT(status.st_mode)
    if kind != stat.S_IFREG:
        raise UnreadableError(1, f"no plain file (got {kinds.get(kind, 'something else')})", "put a text file there")


def _mode(path: Path, *, follow: bool = True) -> int | None:
    """Return the mode of what is there, None if nothing is; `follow=False` also finds a link that leads nowhere."""
    try:
        return path.stat(follow_symlinks=follow).st_mode
    except (OSError, ValueError):
        return None


def _reason(error: OSError | ValueError) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error) or "an unknown fault"
