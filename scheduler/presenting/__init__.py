"""Plan -> text or bytes: agenda, iCalendar, JSON. Decides nothing, writes nothing."""
