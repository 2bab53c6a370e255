"""A job under way: what was done, came late or was lost, and what moves for it."""
