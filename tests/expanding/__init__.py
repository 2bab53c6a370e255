"""A job and its profiles as a task graph: what follows what, when, and why."""
