"""Drawings to be built from: DXF files and the same sheets as PDF, true to scale."""

from postprocess.cad.quiet_fonts import load_quietly

load_quietly()
