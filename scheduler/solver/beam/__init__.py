"""Beam search: schedules filled one stretch of hours after the other in several ways; the best are kept."""
