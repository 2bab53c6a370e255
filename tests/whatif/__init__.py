"""Odds, what may slip, and changes that bring the finish forward, against reckonings made apart."""
