"""Doubt and failure: what scatter of springs, thickness and masses, and a spring out of service, do to a floor."""
