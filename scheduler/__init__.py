"""The public names of tackfree, sorted; nothing else."""
