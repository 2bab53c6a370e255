"""The questions and the job file that comes of their answers."""
