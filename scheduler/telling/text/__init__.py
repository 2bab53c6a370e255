"""Views as lines of a terminal."""
