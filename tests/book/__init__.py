"""Tests of the book."""
