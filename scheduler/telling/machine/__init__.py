"""What other programs read: each answer as JSON; the schemas lie in `telling/schemas`."""
