"""Hours, days away and busy calendars -> work windows. Pure."""
