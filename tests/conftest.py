"""How hard hypothesis tries: `NETPRICE_HYPOTHESIS=ci` for the same many examples every time, `dev` for a quick look."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("dev", max_examples=100, deadline=None)
settings.register_profile("ci", max_examples=500, deadline=None, derandomize=True)
settings.load_profile(os.environ.get("NETPRICE_HYPOTHESIS", "dev"))
