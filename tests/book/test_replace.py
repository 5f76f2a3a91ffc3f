"""Replacing files on the disk: whatever stops it, each file is the old one or the new one, and nothing is left over."""

from __future__ import annotations

import errno
import os
import shutil
import signal
import stat
import subprocess
import sys
import tempfile
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from netprice.book import replace as replacing
from netprice.book.read import read_book
from netprice.book.rewrite import Change, change, change_all
from netprice.errors import InputError

PRICE = Decimal("44.10")
MUG = b'name = "Mug"\n\n[prices]\nlist_price = 42.00   # on the ticket\n'


@pytest.fixture
def mug(tmp_path: Path) -> Path:
    path = tmp_path / "mug.toml"
    path.write_bytes(MUG)
    return path


def left_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_the_file_is_replaced_and_keeps_its_mode(mug: Path) -> None:
    mug.chmod(0o640)
    change(mug, {("prices", "list_price"): PRICE}, MUG)
    assert mug.read_bytes() == MUG.replace(b"42.00", b"44.10")
    assert stat.S_IMODE(mug.stat().st_mode) == 0o640
    assert left_in(mug.parent) == ["mug.toml"]


def test_a_value_that_is_the_same_leaves_the_file_as_it_is(mug: Path) -> None:
    before = mug.stat().st_ino
    change(mug, {("prices", "list_price"): Decimal("42.00")}, MUG)
    assert mug.stat().st_ino == before


def test_a_link_stays_and_what_it_leads_to_is_replaced(mug: Path, tmp_path: Path) -> None:
    (tmp_path / "shop").mkdir()
    link = tmp_path / "shop" / "pot.toml"
    link.symlink_to("../mug.toml")
    change(link, {("prices", "list_price"): PRICE}, MUG)
    assert link.is_symlink()
    assert b"44.10" in mug.read_bytes()
    assert left_in(tmp_path / "shop") == ["pot.toml"]


def refused(mug: Path, expected: bytes = MUG) -> str:
    """Return the one line that it takes, with the file's folder left out."""
    with pytest.raises(InputError) as error:
        change(mug, {("prices", "list_price"): PRICE}, expected)
    said = str(error.value)
    assert len(said.splitlines()) == 1
    return said.removeprefix(f"{mug.parent}/")


def test_a_file_that_changed_since_it_was_read_is_left_alone(mug: Path) -> None:
    mug.write_bytes(MUG + b"# more\n")
    assert refused(mug) == "mug.toml:1: changed since it was read; nothing was written; mend that and ask again"
    assert mug.read_bytes() == MUG + b"# more\n"
    assert left_in(mug.parent) == ["mug.toml"]


def test_a_file_that_is_gone_is_told(mug: Path) -> None:
    mug.unlink()
    assert refused(mug).startswith("mug.toml:1: no file that can be changed (got 'No such file or directory')")
    assert left_in(mug.parent) == []


def test_a_folder_in_its_place_and_links_in_a_circle_are_told(mug: Path) -> None:
    mug.unlink()
    mug.mkdir()
    assert refused(mug) == "mug.toml:1: changed since it was read; nothing was written; mend that and ask again"
    mug.rmdir()
    mug.symlink_to(mug)
    assert "Too many levels of symbolic links" in refused(mug)


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is forbidden to root")
def test_a_folder_or_file_that_may_not_be_written_is_told(mug: Path) -> None:
    mug.parent.chmod(0o555)
    try:
        assert "Permission denied" in refused(mug)
    finally:
        mug.parent.chmod(0o755)
    mug.chmod(0o444)
    assert "Permission denied" in refused(mug)


# As for everybody but root: the system says no at each step in turn.
@pytest.mark.parametrize("step", ["mkstemp", "fsync", "copymode", "replace", "open"])
def test_whatever_step_the_system_refuses_the_old_file_stays(
    mug: Path, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    stop_at(step, OSError(errno.EACCES, "Permission denied"), monkeypatch)
    said = refused(mug)
    assert said.startswith("mug.toml:1: no file that can be changed (got 'Permission denied')")
    assert mug.read_bytes() == MUG
    assert left_in(mug.parent) == ["mug.toml"]


@pytest.mark.parametrize("step", ["fsync", "copymode", "replace", "open"])
def test_ctrl_c_at_whatever_step_leaves_the_old_file_and_nothing_else(
    mug: Path, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    stop_at(step, KeyboardInterrupt(), monkeypatch)
    with pytest.raises(KeyboardInterrupt):
        change(mug, {("prices", "list_price"): PRICE}, MUG)
    assert mug.read_bytes() == MUG
    assert left_in(mug.parent) == ["mug.toml"]


def stop_at(step: str, error: BaseException, monkeypatch: pytest.MonkeyPatch) -> None:
    """Raise the error the first time that a step of replacing is taken; `open` is that of the folder, at the end."""
    name = "_sync_folder" if step == "open" else step
    holders: dict[str, Any] = {
        "mkstemp": tempfile, "fsync": os, "copymode": shutil, "replace": Path, "open": replacing,
    }  # fmt: skip
    real, raises = getattr(holders[step], name), iter([True])

    def once(*arguments: Any, **more: Any) -> Any:
        if next(raises, False):
            raise error
        return real(*arguments, **more)

    monkeypatch.setattr(holders[step], name, once)


# A process that is killed cannot clear up. Whatever it leaves must not be taken for a product.
@pytest.mark.parametrize("step", ["os.fsync", "shutil.copymode", "pathlib.Path.replace"])
def test_a_kill_leaves_the_old_file_whole(shop: Path, step: str) -> None:
    mug = shop / "products" / "mug.toml"
    before = mug.read_bytes()
    program = (
        "import os, pathlib, shutil, sys; from decimal import Decimal; from netprice.book.rewrite import change\n"
        f"{step} = lambda *all: os.kill(os.getpid(), {signal.SIGKILL:d})\n"
        "mug = pathlib.Path(sys.argv[1]); change(mug, {('prices', 'list_price'): Decimal('44.10')}, mug.read_bytes())\n"
    )
    done = subprocess.run([sys.executable, "-c", program, str(mug)], cwd=Path(__file__).parents[2], check=False)
    assert done.returncode == -signal.SIGKILL
    assert mug.read_bytes() == before
    found = read_book(shop)
    assert found.book is not None
    assert list(found.book.products) == ["mug"]


def test_of_several_files_all_are_changed_or_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [tmp_path / f"{name}.toml" for name in ("cup", "jug", "mug")]
    for path in paths:
        path.write_bytes(MUG)
    changes = [Change(path, {("prices", "list_price"): PRICE}, MUG) for path in paths]

    real = Path.replace

    def stop_at_the_third(aside: Path, target: Path) -> Path:
        if target.name == "mug.toml":
            raise OSError(errno.EIO, "Input/output error")
        return real(aside, target)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", stop_at_the_third)
        with pytest.raises(InputError, match=r"mug\.toml:1: no file that can be changed \(got 'Input/output error'\)"):
            change_all(changes)
    assert [path.read_bytes() for path in paths] == [MUG] * 3
    assert left_in(tmp_path) == ["cup.toml", "jug.toml", "mug.toml"]

    change_all(changes)
    assert all(b"44.10" in path.read_bytes() for path in paths)
