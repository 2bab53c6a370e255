"""Commands as a person runs them: what they print, write, refuse, and with which exit code."""
