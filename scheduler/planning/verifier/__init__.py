"""The rules of the trade, checked on a finished plan. Written apart from the planner, and sharing nothing with it."""
