"""Measured rooms and methods: areas, amounts, order, and what changes when a room grows."""
