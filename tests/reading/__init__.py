"""Files in: every value read as it was meant, every mistake told at its line and column."""
