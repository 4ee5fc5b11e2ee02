"""The turns that bring a lifted slab level, from surveys of its heights."""
