"""What comes with netprice: fee profiles of invented storefronts, and a starter shop."""

from __future__ import annotations

from pathlib import Path

_DATA = Path(__file__).parent / "data"
_CHECKOUT = Path(__file__).parents[2]


def profiles_folder() -> Path:
    """Return the folder of the fee profiles that come with netprice: in the package, or beside it in a checkout."""
    packed = _DATA / "fee_profiles"
    return packed if packed.is_dir() else _CHECKOUT / "fee_profiles"


def profile_names() -> frozenset[str]:
    """Return the names of the fee profiles that come with netprice."""
    return frozenset(path.stem for path in profiles_folder().glob("*.toml"))


def starter_folder() -> Path:
    """Return the folder of the starter shop."""
    return _DATA / "starter"
