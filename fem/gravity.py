"""Standard acceleration of free fall."""

GRAVITY = 9.80665
"""m/s2 (ISO 80000-3)."""
