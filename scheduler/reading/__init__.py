"""Files in, model out; every mistake with its file, line and column."""
