"""Prints a pip constraint for the lower bound of every run-time dependency in pyproject.toml."""

import re
import tomllib
from pathlib import Path

project = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]
for requirement in project["dependencies"]:
    name, lowest = re.match(r"([A-Za-z0-9-]+)>=([0-9.]+)", requirement).groups()
    print(f"{name}~={lowest}.0" if lowest.count(".") == 1 else f"{name}=={lowest}")
