"""jackfield: floating concrete floors on spring jacks, from one case folder to jack loads, modes and papers."""

from importlib.metadata import PackageNotFoundError, version

try:
    __version__ = version("jackfield")
except PackageNotFoundError:  # run from a source tree that was not installed
    __version__ = "unknown"

CAUTIONS = (
    "jackfield assists; it does not approve. A chartered or licensed structural engineer checks slab and building.",
    "Local codes and regulations rule over anything printed here.",
    "Nobody goes under a slab that is not packed.",
    "Springs store energy: unload them before removal.",
    "Cube results come before the first pass of a lift; stop on cracks, uneven height or abnormal torque.",
)
"""The cautions in the terminal and in results.json; every sheet shows the first two in short."""
