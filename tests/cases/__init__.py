"""Worked orders with exact expected results, answered through real shop files."""
