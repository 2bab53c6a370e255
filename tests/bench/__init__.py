"""Benchmarks and damage by chance: programs to run by hand, each with a `main`."""
