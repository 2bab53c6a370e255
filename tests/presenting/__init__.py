"""A plan as text, calendar, JSON and lists: nothing is decided there, nothing is left out."""
