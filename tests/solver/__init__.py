"""The trade-free core and its bound, against published values, each other, and an independent solver."""
