"""A small shop with nothing wrong, to be changed by a test."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

BASE = Path(__file__).parents[1] / "broken" / "base"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    shutil.copytree(BASE, folder)
    return folder
