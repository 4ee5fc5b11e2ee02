"""Strength of the slab after EN 1992-1-1:2004: pure functions on arrays in SI, moments sagging positive."""
