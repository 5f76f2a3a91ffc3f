"""Replacing files whole: wherever it is stopped, each file holds its old bytes or its new ones, and never a mixture.

A link is followed first, so that what it leads to is replaced and the link stays. The new bytes are written to a file
beside the old one, forced to the disk and moved over it. Where several files are replaced and one cannot be, those that
were already moved get their old bytes back.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from netprice.book.files import Found
from netprice.book.toml_text import UnreadableError


class Replacement(NamedTuple):
    """One file: the bytes that it must still hold, and those that it is to hold."""

    path: Path
    old: bytes
    new: bytes


class NotReplacedError(Exception):
    """Nothing was replaced, because of the file at `path` and for the reason `what`."""

    def __init__(self, path: Path, what: str) -> None:
        super().__init__(path, what)
        self.path = path
        self.what = what


def replace_all(files: Sequence[Replacement]) -> None:
    """Replace all of the files or none.

    Raises `NotReplacedError` where a file holds other bytes than `old`, or the disk or the rights do not allow it.
    """
    staged: list[tuple[Replacement, Path, Path]] = []
    try:
        for file in files:
            with _told_of(file):
                target = _followed(file.path)
                staged.append((file, target, _staged(target, file.new)))
        for file, target, _ in staged:
            if not _holds(target, file.old):
                raise NotReplacedError(file.path, "changed since it was read")
        try:
            for file, target, aside in staged:
                with _told_of(file):
                    aside.replace(target)
                    _sync_folder(target.parent)
        except BaseException:
            for file, target, _ in staged:
                if _holds(target, file.new):
                    _staged(target, file.old).replace(target)
            raise
    finally:
        for _, _, aside in staged:
            aside.unlink(missing_ok=True)


@contextlib.contextmanager
def _told_of(file: Replacement) -> Iterator[None]:
    """Say which file it was that the system would not let be changed."""
    try:
        yield
    except OSError as error:
        what = f"no file that can be changed (got {error.strerror or str(error)!r})"
        raise NotReplacedError(file.path, what) from None


def _followed(path: Path) -> Path:
    """Return the file that a link leads to in the end, if it may be written."""
    try:
        target = path.resolve(strict=True)
    except RuntimeError:  # before Python 3.13, links that lead to each other
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP)) from None
    # Moving another file over it would not ask for that right.
    if not os.access(target, os.W_OK):
        raise OSError(errno.EACCES, os.strerror(errno.EACCES))
    return target


def _holds(target: Path, data: bytes) -> bool:
    try:
        return Found().bytes_of(target) == data
    except UnreadableError:
        return False


def _staged(target: Path, data: bytes) -> Path:
    """Write the bytes to a new file beside the target, with its mode, safe on the disk; return the new file."""
    # The point before its name keeps the shop's reader away from it, should it ever be left behind.
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:40]}.", suffix=".new", dir=target.parent)
    aside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        shutil.copymode(target, aside)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise
    return aside


def _sync_folder(folder: Path) -> None:
    """Force the folder's entries to the disk, where the system can do that."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        # Some file systems cannot, and are then no worse off than without.
        with contextlib.suppress(OSError):
            os.fsync(handle)
    finally:
        os.close(handle)
