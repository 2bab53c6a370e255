"""What several rooms of the tests share: builders, sound plans, lives of jobs, damage."""
