"""The record: what it takes, what it objects to, and that no crash loses a line of it."""
