"""Plan -> words: what people read (terminal, page, lists) and what programs read. It decides nothing."""
