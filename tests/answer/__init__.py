"""The answers to questions: prices against trying every one, arrays and lines against the exact ledger."""
