"""What may come: the odds of a finish, what would bring it forward, how much may slip. All ask the planner again."""
