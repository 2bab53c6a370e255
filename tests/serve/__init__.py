"""The living page and the feed: who gets in, what a tap records, and what stays whole when all goes wrong."""
