"""Measurements, as ratios taken in one run, so that a slow machine slows both sides. `python -m tests.benchmarks`."""
