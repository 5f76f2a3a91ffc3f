"""Starting a shop: the starter folder that comes with netprice is copied to where the user wants it."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from netprice.book.files import printable
from netprice.book.shipped import starter_folder
from netprice.errors import InputError, Problem


def begin(folder: Path) -> tuple[Path, ...]:
    """Write the starter shop into a new or empty folder and return the files that were written.

    Everything is copied aside first and then moved into place, so that a full disk or a missing right leaves nothing
    half-written. Raises `InputError` if the folder has something in it or cannot be written.
    """
    try:
        is_new = not folder.is_dir()
        if not is_new and any(folder.iterdir()):
            raise InputError((_problem(folder, "a folder with something in it", "name a new or an empty folder"),))
        folder.mkdir(parents=True, exist_ok=True)
        try:
            _fill(folder)
        except BaseException:
            if is_new:
                folder.rmdir()
            raise
    except OSError as error:
        what = f"no folder that can be written (got {error.strerror or str(error)!r})"
        raise InputError((_problem(folder, what, "name another folder"),)) from None
    return tuple(sorted(path for path in folder.rglob("*") if path.is_file()))


def _fill(folder: Path) -> None:
    moved: list[Path] = []
    with tempfile.TemporaryDirectory(prefix=".starting-", dir=folder) as aside:
        starter = Path(aside) / "starter"
        shutil.copytree(starter_folder(), starter, copy_function=shutil.copyfile)
        try:
            for path in sorted(starter.iterdir()):
                moved.append(folder / path.name)
                path.rename(folder / path.name)
        except BaseException:
            for path in moved:
                if path.is_dir():
                    shutil.rmtree(path, ignore_errors=True)
                else:
                    path.unlink(missing_ok=True)
            raise


def _problem(folder: Path, what: str, mend: str) -> Problem:
    return Problem(file=printable(folder), line=1, key="", what=what, mend=mend)
