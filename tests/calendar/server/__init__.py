"""Events on a calendar server, with a real one on this machine and with odd ones."""
