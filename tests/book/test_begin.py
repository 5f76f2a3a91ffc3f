"""Starting a shop: a folder that is right at once, or nothing at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from netprice.book.begin import begin
from netprice.book.read import open_book
from netprice.book.shipped import starter_folder
from netprice.errors import InputError


def everything(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


@pytest.mark.parametrize("exists", [False, True], ids=["new", "empty"])
def test_the_shop_that_is_started_is_read_at_once(exists: bool, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    if exists:
        folder.mkdir()

    written = begin(folder)

    assert open_book(folder).products
    assert [str(path.relative_to(folder)) for path in written] == everything(folder) == everything(starter_folder())


def test_the_current_folder_can_be_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)

    assert Path("shop.toml") in begin(Path())
    assert (tmp_path / "shop.toml").is_file()


def test_folders_above_are_made(tmp_path: Path) -> None:
    begin(tmp_path / "a" / "b")

    assert (tmp_path / "a" / "b" / "shop.toml").is_file()


def test_a_folder_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "note.txt").write_text("mine")

    with pytest.raises(InputError) as caught:
        begin(tmp_path)

    assert str(caught.value) == f"{tmp_path}:1: a folder with something in it; name a new or an empty folder"
    assert everything(tmp_path) == ["note.txt"]


def test_a_file_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("here")

    with pytest.raises(InputError) as caught:
        begin(tmp_path / "mine")

    assert (
        str(caught.value)
        == f"{tmp_path}/mine:1: no folder that can be written (got 'File exists'); name another folder"
    )


@pytest.mark.parametrize("moves_before_it_fails", range(4))
@pytest.mark.parametrize("exists", [False, True], ids=["new", "empty"])
def test_nothing_is_left_half_written(
    moves_before_it_fails: int, exists: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "mine"
    if exists:
        folder.mkdir()
    left = moves_before_it_fails
    rename = Path.rename

    def full_disk(self: Path, target: Path) -> Path:
        nonlocal left
        left -= 1
        if left < 0:
            raise OSError(28, os.strerror(28))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", full_disk)

    with pytest.raises(InputError, match="No space left on device"):
        begin(folder)

    assert folder.exists() == exists
    assert not exists or list(folder.iterdir()) == []
