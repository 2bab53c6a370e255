"""What may come: the odds of a finish, and what would bring it forward. Both ask the planner again and again."""
