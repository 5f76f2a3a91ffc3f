"""An answer as text or JSON. No arithmetic of the trade is done here: only rounding for display."""
