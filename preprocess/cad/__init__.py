"""Plans that come as a drawing (DXF)."""
