"""Files broken on purpose or by accident: one line for each, fast, in bounded memory, and never a traceback."""

from __future__ import annotations

import os
import resource
import socket
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from netprice.book import files
from netprice.book.read import read_book

MIB = 1 << 20
ENOUGH_SECONDS = 1.0


@contextmanager
def quickly() -> Iterator[None]:
    """Hold the time that the processor takes, which other programs do not change; a tracer multiplies it."""
    start = time.process_time()
    yield
    assert time.process_time() - start < ENOUGH_SECONDS * (1 if sys.gettrace() is None else 10)


@pytest.fixture(autouse=True, scope="module")
def _warm(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Load what the first mistake loads, so that only the reading is timed."""
    folder = tmp_path_factory.mktemp("warm")
    (folder / "shop.toml").write_text("name = 1")
    read_book(folder)


def one_problem(folder: Path) -> str:
    """Read the folder quickly; return its only problem."""
    with quickly():
        result = read_book(folder)
    assert result.book is None
    assert len(result.problems) == 1, result.problems
    told = str(result.problems[0])
    assert "\n" not in told
    assert len(told) < 500
    return told.removeprefix(f"{folder}/")


BYTES = {
    "a NUL byte": (
        b'name = "Mug"\nabout = "\0"\n',
        r"2: a NUL byte (got '\x00'); save the file as plain text in UTF-8",
    ),
    "Latin-1": (
        'name = "Mug"\nabout = "\n"\nbrand = "Café"\n'.encode("latin-1"),
        "4: text in another encoding (got byte 0xe9); save it as UTF-8",
    ),
    "UTF-16": (
        'name = "Mug"'.encode("utf-16"),
        "1: text in another encoding (got UTF-16); save the file as UTF-8",
    ),
    "half a character at the end": (
        b'name = "Mug"\n# \xe2\x82',
        "2: text in another encoding (got byte 0xe2); save it as UTF-8",
    ),
    "deep lists": (
        b"name = \n" + b"[" * 100_000,
        "2: brackets more than 64 deep (got '['); nest less",
    ),
    "deep tables": (
        b"name = " + b"{a=" * 65 + b"1" + b"}" * 65,
        "1: brackets more than 64 deep (got '{'); nest less",
    ),
    "a key of 20,000 parts": (
        b"\n\n" + b".".join([b"a"] * 20_000) + b" = 1",
        "3: a key or number that never ends (got 'a.a.a.a.a.a.a.a.a.a.' ...); shorten it",
    ),
    "a spaced key of 20,000 parts": (
        b" . ".join([b'"a"'] * 20_000) + b" = 1",
        "1: a key or number that never ends (got '.' ...); shorten it",
    ),
    "a number of 5,000 digits": (
        b'name = "Mug"\nweight = ' + b"7" * 5_000,
        "2: a key or number that never ends (got '77777777777777777777' ...); shorten it",
    ),
    "half a million values": (
        b"name = [" + b"1," * 500_000 + b"]",
        "1: too much for one file (got over 30,000 values); split it up",
    ),
    "50 MB": (
        b"# much ado\n" * (50 * MIB // 11),
        "1: a file too large (got more than 1 MiB); keep each file under 1 MiB",
    ),
    "a megabyte of opening quotes": (
        b'name = """\n' + b'\\"""\n' * (MIB // 5 - 10),
        '209706: a text that is not closed (got \'\\\\"""\'); close the quotes',
    ),
}


@pytest.mark.parametrize(("data", "expected"), BYTES.values(), ids=BYTES)
def test_a_broken_file_is_one_line(data: bytes, expected: str, shop: Path) -> None:
    (shop / "products" / "mug.toml").write_bytes(data)

    assert one_problem(shop) == f"products/mug.toml:{expected}"


def test_the_shop_file_itself_may_be_broken(shop: Path) -> None:
    (shop / "shop.toml").write_bytes(b"\0")

    told = one_problem(shop)

    assert told == r"shop.toml:1: a NUL byte (got '\x00'); save the file as plain text in UTF-8"


@pytest.mark.parametrize("error", [RecursionError, ValueError])
def test_what_the_look_before_might_miss_is_caught(
    error: type[Exception], shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gives_up(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr("tomllib.loads", gives_up)

    told = {str(problem).removeprefix(f"{shop}/").partition(":")[2] for problem in read_book(shop).problems}

    assert told == {"1: text too deep or numbers too long to read; write it more plainly"}


def test_64_brackets_are_still_read(shop: Path) -> None:
    (shop / "products" / "mug.toml").write_bytes(b'name = "Mug"\nabout = ' + b"[" * 64 + b"]" * 64)

    assert one_problem(shop) == "products/mug.toml:2: about: expected a text (got a list); put it in quotes"


def test_brackets_in_texts_and_comments_are_no_nesting(shop: Path) -> None:
    texts = "\n".join((f'about = "{"[" * 100}"', f"# {'{' * 100}", f'"{"[" * 99}" = 1'))
    (shop / "products" / "mug.toml").write_text(f'name = "Mug"\n{texts}\n')

    assert "unknown key (got '[[[[" in one_problem(shop)


def test_a_byte_order_mark_is_no_mistake(shop: Path) -> None:
    for path in shop.rglob("*.toml"):
        path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())

    assert read_book(shop).problems == ()


def test_thirty_thousand_unknown_keys_are_not_all_told(shop: Path) -> None:
    keys = "".join(f"k{number} = 1\n" for number in range(29_000))
    (shop / "products" / "mug.toml").write_text(f'name = "Mug"\n{keys}')

    with quickly():
        problems = read_book(shop).problems

    assert len(problems) == 201
    assert sum("mend these first" in str(problem) for problem in problems) == 1


def test_memory_stays_within_bounds(shop: Path) -> None:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with (shop / "products" / "mug.toml").open("wb") as file:
        file.truncate(4 << 30)  # a file of 4 GiB that takes no room

    told = one_problem(shop)

    assert told == "products/mug.toml:1: a file too large (got more than 1 MiB); keep each file under 1 MiB"
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 64 * 1024


def _folder(path: Path) -> None:
    path.mkdir()


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _loop(path: Path) -> None:
    path.symlink_to(path.name)


def _leads_nowhere(path: Path) -> None:
    path.symlink_to("gone.toml")


def _device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def _socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as made:
        made.bind(str(path)[-100:] if len(str(path)) <= 100 else os.path.relpath(path))


THINGS: dict[str, tuple[Callable[[Path], None], str]] = {
    "a folder": (_folder, "no plain file (got a folder); put a text file there"),
    "a pipe": (_pipe, "no plain file (got a pipe); put a text file there"),
    "a device": (_device, "no plain file (got a device); put a text file there"),
    "a socket": (_socket, "no plain file (got a socket); put a text file there"),
    "a loop": (_loop, "no file that can be read (got 'Too many levels of symbolic links'); put a readable file there"),
    "a link to nowhere": (
        _leads_nowhere,
        "no file that can be read (got 'No such file or directory'); put a readable file there",
    ),
}


@pytest.mark.parametrize(("make", "expected"), THINGS.values(), ids=THINGS)
@pytest.mark.parametrize("name", ["products/other.toml", "shop.toml"])
def test_what_is_no_plain_file_is_one_line(make: Callable[[Path], None], expected: str, name: str, shop: Path) -> None:
    (shop / name).unlink(missing_ok=True)
    make(shop / name)

    assert one_problem(shop) == f"{name}:1: {expected}"


def test_a_file_that_vanishes_while_the_folder_is_read(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    listed = files._toml_files  # noqa: SLF001

    def list_and_remove(folder: Path, most: int) -> list[Path]:
        paths = list(listed(folder, most))
        for path in paths:
            if path.name == "mug.toml":
                path.unlink()
        return paths

    monkeypatch.setattr(files, "_toml_files", list_and_remove)

    told = one_problem(shop)

    assert told.startswith("products/mug.toml:1: no file that can be read (got 'No such file or directory')")


def test_a_folder_of_files_that_is_a_file(shop: Path) -> None:
    (shop / "rate_cards" / "van.toml").unlink()
    (shop / "rate_cards").rmdir()
    (shop / "rate_cards").write_text("here")

    told = one_problem(shop)

    assert told == "rate_cards:1: no folder that can be read (got 'Not a directory'); make it a folder of .toml files"


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    result = read_book(tmp_path / "gone")

    expected = f"{tmp_path}/gone:1: no such folder; name a shop folder; 'netprice init DIR' starts one"
    assert list(map(str, result.problems)) == [expected]


def test_a_file_instead_of_the_folder(shop: Path) -> None:
    result = read_book(shop / "shop.toml")

    expected = f"{shop}/shop.toml:1: no folder (got a file); name the folder that the shop.toml is in"
    assert list(map(str, result.problems)) == [expected]


def test_a_folder_without_a_shop_file(shop: Path) -> None:
    (shop / "shop.toml").unlink()

    told = one_problem(shop)

    assert told == "shop.toml:1: no such file; a shop needs one; 'netprice init DIR' starts a shop folder"


def test_a_name_that_no_system_takes() -> None:
    assert len(read_book(Path("a\0b")).problems) == 1


def test_too_many_files(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "MOST_FILES", 3)
    for number in range(3):
        (shop / "products" / f"mug{number}.toml").write_text('name = "Mug"')

    assert one_problem(shop).startswith("products:1: too many files (got more than 3 in all)")


def test_too_many_bytes_in_all(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sizes = sum(path.stat().st_size for path in shop.rglob("*.toml"))
    monkeypatch.setattr(files.Found, "__init__", _with_room_for(sizes - 1))

    assert one_problem(shop).startswith("rate_cards/van.toml:1: too many large files")


def _with_room_for(size: int) -> Callable[..., None]:
    original = files.Found.__init__

    def start(self: files.Found) -> None:
        original(self, bytes_left=size)

    return start


def test_marks_in_file_names_cannot_break_or_turn_the_line(shop: Path) -> None:
    (shop / "products" / "mug\n\u202e.toml").write_text("name = 1")

    told = one_problem(shop)

    assert told.startswith(r"products/mug\n\u202e.toml:1: a file name with invisible characters in it")


def test_two_spellings_of_one_name(shop: Path) -> None:
    for name in ("caf\u00e9", "cafe\u0301"):
        (shop / "products" / f"{name}.toml").write_text('name = "Cup"')

    assert "two files of one name (got 'caf\u00e9'); rename one of the two" in one_problem(shop)


def test_files_that_editors_leave_behind_are_left_out(shop: Path) -> None:
    (shop / "products" / ".#mug.toml").symlink_to("somebody@somewhere")
    (shop / "products" / "._mug.toml").write_bytes(b"\0\5\x16\7")
    (shop / "products" / "mug.toml~").write_bytes(b"\0")

    assert read_book(shop).problems == ()
