"""Which spring goes under each jack, and which few must change: numbers on the condensed floor, no files, no case."""
