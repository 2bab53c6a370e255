"""A plan as text, page, lists and JSON: nothing is decided there, nothing is left out."""
