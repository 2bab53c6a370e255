"""The dry clock, held against published tables, charts and standards."""
