"""Mechanics of a thin plate on spring jacks: arrays in SI units, no files, no case."""
