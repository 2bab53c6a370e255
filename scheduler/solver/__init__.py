"""The trade-free core: a `Problem` of whole minutes in, a `Placement` and a bound on its finish out. Pure.

`problem` is the vocabulary, `search` the way in. It knows no word of the trade: published benchmark sets run on it.
"""
