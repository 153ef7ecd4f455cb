"""Colour: reading, measuring and comparing it."""
