"""Checks against published sources: each names its source and how far that source was read."""
