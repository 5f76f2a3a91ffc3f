"""What one order comes to, exactly: pure functions on frozen values; no files, no clock, no floats."""
