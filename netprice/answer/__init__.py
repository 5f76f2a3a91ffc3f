"""The answers: one file per question. They may search with floats; every answer is confirmed on the ledger."""
