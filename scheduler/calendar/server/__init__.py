"""The plan's events on a calendar server (CalDAV, RFC 4791): put, kept up to date, taken away. The only network."""
