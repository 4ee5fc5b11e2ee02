"""Plans that come as a drawing (DXF)."""

from preprocess.cad.quiet import load_quietly

load_quietly()
