"""Drawings for building: DXF files and the same sheets as PDF, to scale."""
