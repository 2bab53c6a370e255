"""What no schedule can do: propagation to a contradiction, and destructive lower bounds on the finish."""
