"""The living page and the feed: a plan that the phones of a house can see, record in, and subscribe to."""
