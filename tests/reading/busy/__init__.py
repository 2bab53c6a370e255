"""Calendars of the household: what the calendar standard says, and files made to do harm."""
