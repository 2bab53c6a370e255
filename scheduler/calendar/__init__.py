"""Plan -> calendar events; their versions over a life; written as iCalendar (RFC 5545); put on a server."""
