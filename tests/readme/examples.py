"""Finds the README's console examples and runs them. `python -m tests.readme.examples` rewrites their output.

An example is a block fenced as `console`; each line that starts with `$ netprice` is a command, what follows up to the
next one is its output, 80 columns wide. Commands run in one scratch folder, with `examples/` and `fee_profiles/` in it.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
_BLOCK = re.compile(r"^```console\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def blocks(text: str) -> list[str]:
    """Return the console blocks of a text."""
    return [match[1] for match in _BLOCK.finditer(text)]


def commands(block: str) -> list[str]:
    """Return the commands of a block, without the prompt."""
    return [line.removeprefix("$ ") for line in block.splitlines() if line.startswith("$ ")]


def run(block: str, folder: Path) -> str:
    """Return the block with the output that its commands really give."""
    out = []
    for command in commands(block):
        words = shlex.split(command)
        assert words[0] == "netprice", f"only netprice is run: {command}"
        done = subprocess.run(
            [sys.executable, "-m", "netprice", *words[1:]],
            cwd=folder, capture_output=True, text=True, check=False,
            env={**os.environ, "COLUMNS": "80", "NO_COLOR": "1", "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"},
        )  # fmt: skip
        out.append(f"$ {command}\n{done.stdout}{done.stderr}")
    return "".join(out)


def scratch() -> tempfile.TemporaryDirectory[str]:
    """Return a folder with the demo shop and the fee profiles in it, as in a checkout."""
    folder = tempfile.TemporaryDirectory()
    for name in ("examples", "fee_profiles"):
        shutil.copytree(ROOT / name, Path(folder.name) / name)
    return folder


def main() -> None:
    """Rewrite the output of every example in the README."""
    text = README.read_text(encoding="utf-8")
    with scratch() as folder:
        fresh = _BLOCK.sub(lambda match: f"```console\n{run(match[1], Path(folder))}```", text)
    README.write_text(fresh, encoding="utf-8")


if __name__ == "__main__":
    main()
