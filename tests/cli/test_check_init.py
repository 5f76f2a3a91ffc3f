"""`netprice check` and `netprice init`, and how the command line ends whatever happens."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import netprice
from netprice.cli import main

ROOT = Path(__file__).parents[2]
BASE = ROOT / "tests" / "broken" / "base"
BROKEN = "shop.toml:13: channels.fair.shiping: unknown key (got 'shiping'); did you mean 'shipping'?"


class Ended:
    """What a run left behind: its exit code and what it wrote."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> Ended:
    with pytest.raises(SystemExit) as end:
        main.run(arguments)
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    assert "╭" not in out + err
    assert isinstance(end.value.code, int)
    return Ended(end.value.code, out, err)


def command(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "netprice", *arguments]


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    shutil.copytree(BASE, folder)
    return folder


@pytest.fixture
def broken(shop: Path) -> Path:
    with (shop / "shop.toml").open("a") as file:
        file.write('shiping = { policy = "free" }\n')
    return shop


def test_a_right_shop_is_counted(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ended = run(capsys, "check", str(shop))

    assert (ended.code, ended.err) == (0, "")
    assert ended.out == "all good: 1 channel, 1 product, 1 fee profile, 1 rate card\n"


def test_problems_go_to_stderr_and_nothing_to_stdout(broken: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ended = run(capsys, "check", str(broken))

    assert (ended.code, ended.out) == (2, "")
    assert ended.err == f"{broken}/{BROKEN}\n"


def test_the_current_folder_is_checked_unless_another_is_named(
    broken: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(broken)

    assert run(capsys, "check").err == f"{BROKEN}\n"


def test_problems_as_json(broken: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ended = run(capsys, "check", str(broken), "--json")

    assert (ended.code, ended.err) == (2, "")
    assert json.loads(ended.out) == {
        "netprice": "check",
        "version": 1,
        "problems": [
            {
                "file": f"{broken}/shop.toml",
                "line": 13,
                "key": "channels.fair.shiping",
                "what": "unknown key (got 'shiping')",
                "mend": "did you mean 'shipping'?",
            }
        ],
    }


def test_a_right_shop_as_json(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ended = run(capsys, "check", str(shop), "--json")

    assert ended.code == 0
    assert json.loads(ended.out) == {
        "netprice": "check",
        "version": 1,
        "problems": [],
        "shop": "Two Hands",
        "channels": ["fair"],
        "products": ["mug"],
        "fee_profiles": ["stall"],
        "rate_cards": ["van"],
    }


@pytest.mark.parametrize("kind", ["shop", "product", "fee-profile", "rate-card"])
def test_a_schema_is_printed_without_any_shop(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    ended = run(capsys, "check", "--schema", kind)

    assert (ended.code, ended.err) == (0, "")
    Draft202012Validator.check_schema(json.loads(ended.out))


def test_init_writes_a_shop_and_says_what_to_type_next(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "my shop"

    ended = run(capsys, "init", str(folder))

    assert (ended.code, ended.err) == (0, "")
    assert f"wrote {folder}/shop.toml\n" in ended.out
    following = ended.out.splitlines()[-1].split(maxsplit=1)
    assert following[0] == "netprice"
    assert f"--shop '{folder}'" in following[1]
    assert run(capsys, "check", str(folder)).code == 0


def test_what_init_says_to_type_next_works(tmp_path: Path) -> None:
    shown = subprocess.run(command("init", str(tmp_path / "a")), cwd=ROOT, capture_output=True, text=True, check=True)
    following = shown.stdout.splitlines()[-1].strip().removeprefix("netprice ")

    ended = subprocess.run(command(*following.split()), cwd=ROOT, capture_output=True, text=True, check=False)

    assert ended.returncode in (0, 1)
    assert ended.stderr == ""
    assert ended.stdout


def test_init_leaves_a_folder_in_use_alone(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ended = run(capsys, "init", str(shop))

    assert (ended.code, ended.out) == (2, "")
    assert ended.err == f"{shop}:1: a folder with something in it; name a new or an empty folder\n"


def test_help_names_every_command_and_version_is_the_package_s(capsys: pytest.CaptureFixture[str]) -> None:
    shown = run(capsys, "--help")
    assert shown.code == 0
    for name in ("init", "check", "solve", "ledger"):
        assert f"\n  {name} " in shown.out

    shown = run(capsys, "--version")
    assert (shown.code, shown.out) == (0, f"netprice {netprice.__version__}\n")


def test_a_wrong_command_or_option_is_told_plainly(capsys: pytest.CaptureFixture[str]) -> None:
    ended = run(capsys, "chek")
    assert (ended.code, ended.out) == (2, "")
    assert "No such command 'chek'. Did you mean 'check'?" in ended.err

    ended = run(capsys, "check", "--schma", "shop")
    assert (ended.code, ended.out) == (2, "")
    assert "--schema" in ended.err

    ended = run(capsys, "check", "--schema", "shopp")
    assert (ended.code, ended.out) == (2, "")
    assert "'fee-profile'" in ended.err

    ended = run(capsys, "init")
    assert (ended.code, ended.out) == (2, "")
    assert "Missing argument 'DIR'" in ended.err


def test_what_nobody_foresaw_is_one_line(
    shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(_: Path) -> None:
        raise RuntimeError("the wheel\ncame off")

    monkeypatch.delenv("NETPRICE_DEBUG", raising=False)
    monkeypatch.setattr("netprice.book.read.read_book", breaks)

    ended = run(capsys, "check", str(shop))

    assert (ended.code, ended.out) == (2, "")
    assert ended.err == (
        "netprice: something went wrong that should not have: RuntimeError: the wheel came off;"
        " please report it with the command you typed\n"
    )


def test_the_traceback_is_there_for_those_who_ask(
    shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(_: Path) -> None:
        raise RuntimeError("the wheel came off")

    monkeypatch.setenv("NETPRICE_DEBUG", "1")
    monkeypatch.setattr("netprice.book.read.read_book", breaks)

    with pytest.raises(SystemExit, match="2"):
        main.run(["check", str(shop)])

    assert "Traceback" in capsys.readouterr().err


def test_ctrl_c_ends_quietly(shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(_: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("netprice.book.read.read_book", interrupted)

    ended = run(capsys, "check", str(shop))

    assert (ended.code, ended.out, ended.err) == (130, "", "")


def test_ctrl_c_in_a_terminal_ends_quietly(shop: Path) -> None:
    """Reading the folder is held up, and the signal comes meanwhile."""
    script = (
        "import os, signal, sys, threading\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # as in a terminal, whatever these tests run in
        "from netprice.book import read\n"
        "from netprice.cli.main import run\n"
        "read.read_folder = lambda folder: (os.kill(os.getpid(), signal.SIGINT), threading.Event().wait(20))\n"
        "run(['check', sys.argv[1]])\n"
    )

    ended = subprocess.run(
        [sys.executable, "-c", script, str(shop)], cwd=ROOT, capture_output=True, text=True, check=False, timeout=60
    )

    assert (ended.returncode, ended.stdout, ended.stderr) == (130, "", "")


def test_a_broken_pipe_ends_quietly() -> None:
    ended = subprocess.run(
        f"{sys.executable} -m netprice check --schema shop | head -c 1; exit ${{PIPESTATUS[0]}}",
        cwd=ROOT, shell=True, executable="/bin/bash", capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert ended.stderr == ""
    assert ended.stdout == "{"
    assert ended.returncode in (0, main.BROKEN_PIPE)


def test_a_pipe_that_is_broken_from_the_start_ends_quietly(broken: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)

    ended = subprocess.run(
        command("check", "--json", str(broken)),
        cwd=ROOT,
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(writing)

    assert (ended.returncode, ended.stderr) == (main.BROKEN_PIPE, "")


def test_names_that_the_terminal_cannot_show_are_no_error(shop: Path) -> None:
    with (shop / "shop.toml").open("a", encoding="utf-8") as file:
        file.write('fee_shares = { "Gebühr ☕" = "1 %" }\n')
    environment = {**os.environ, "PYTHONIOENCODING": "latin-1", "PYTHONUTF8": "0"}

    ended = subprocess.run(
        command("check", str(shop)), cwd=ROOT, env=environment, capture_output=True, encoding="latin-1", check=False
    )

    assert ended.returncode == 2
    assert r"(got 'Gebühr \u2615')" in ended.stderr


def test_help_loads_no_slow_library() -> None:
    script = (
        "import sys\n"
        "from netprice.cli import main\n"
        "try: main.run(['--help'])\n"
        "except SystemExit: pass\n"
        "slow = {'pydantic', 'pint', 'scipy', 'numpy', 'tabulate', 'rich', 'iso4217', 'tree_sitter'}\n"
        "print(sorted(slow & set(sys.modules)), file=sys.stderr)\n"
    )

    ended = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)

    assert ended.stderr == "[]\n"


def test_exit_codes_are_those_that_a_shell_gives_for_the_signals() -> None:
    assert main.CTRL_C == 128 + signal.SIGINT
    assert main.BROKEN_PIPE == 128 + signal.SIGPIPE


@pytest.mark.parametrize("hostile", ["large", "pipe", "loop", "folder", "deep", "nul", "latin"])
def test_a_hostile_file_ends_fast_with_one_line(hostile: str, shop: Path) -> None:
    path = shop / "products" / "mug.toml"
    path.unlink()
    match hostile:
        case "large":
            path.write_bytes(b"# more\n" * (50 << 20 >> 3))
        case "pipe":
            os.mkfifo(path)
        case "loop":
            path.symlink_to(path.name)
        case "folder":
            path.mkdir()
        case "deep":
            path.write_bytes(b"a = " + b"[" * 100_000)
        case "nul":
            path.write_bytes(b"\0")
        case "latin":
            path.write_bytes(b"name = '\xe9'")
    start = time.perf_counter()

    ended = subprocess.run(
        command("check", str(shop)), cwd=ROOT, capture_output=True, text=True, check=False, timeout=30
    )

    assert time.perf_counter() - start < 3  # Python and the libraries start in it too
    assert ended.returncode == 2
    assert ended.stderr.startswith(f"{path}:1: ")
    assert ended.stderr.count("\n") == 1
    assert "Traceback" not in ended.stderr + ended.stdout
