"""The README's examples, run as a reader would type them."""
