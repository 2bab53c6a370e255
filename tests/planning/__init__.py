"""The planner, its bound and its verifier, against each other and against an independent solver."""
