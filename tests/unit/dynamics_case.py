"""What moves the floor of the small case: every table and every key, for the tests that read them."""

from __future__ import annotations

from pathlib import Path

DYNAMICS = """
[[bays]]
name = "West"
corners_mm = [[0, 6500], [4500, -500]]
frequency_hz = 9.5
modal_mass_kg = 5000
damping_percent = 4

[[bays]]
name = "East"
corners_mm = [[4500, -500], [9500, 6500]]
frequency_hz = 10.5
mass_kg_m2 = 650

[air]
edge = "vents"
gap_mm = 45
exponent = 1.2
loss_factor = 0.05

[[vents]]
name = "Slot"
path_mm = [[0, 5000], [0, 0], [3000, 0]]
width_mm = 20
depth_mm = 100

[[vents]]
name = "Open end"
path_mm = [[9000, 1000], [9000, 6000]]

[damping]
springs_percent = 0.5
slab_percent = 1.5

[[coverings]]
name = "Thick tiles"
stiffness_N_mm = 800
restitution = 0.3

[[coverings]]
name = "Mat"
stiffness_N_mm = 120

[[impacts]]
name = "Loaded bar"
mass_kg = 140
height_mm = 1200
place_mm = [2000, 2000]
footprint_mm = 450
covering = "Thick tiles"
drops_a_day = 40

[[impacts]]
name = "Ball"
mass_kg = 2.5
height_mm = 1000
place_mm = [6000, 3000]
contact_ms = 20
restitution = 0.8

[[impacts]]
name = "Dumb-bell"
mass_kg = 40
height_mm = 600
place_mm = [8000, 5000]

[[groups]]
name = "Class"
people = 10
outline_mm = [[3200, 200], [8800, 200], [8800, 3000], [3200, 3000]]
frequency_hz = [2, 2.75]
activity = "rhythmic"

[[groups]]
name = "Jumpers"
people = 4
person_kg = 80
frequency_hz = [1.5, 2.8]
activity = "jumping"

[[groups]]
name = "Own factors"
people = 1
frequency_hz = [2, 2]
factors = [1.2, 0.4, 0]

[[machines]]
name = "Fan"
place_mm = [5000, 5000]
speed_rpm = [900, 1450]
rotor_kg = 60
grade_mm_s = 6.3

[[machines]]
name = "Treadmill"
place_mm = [7000, 5000]
speed_rpm = [300, 600]
unbalance_kg_mm = 5

[[response_points]]
name = "Middle"
place_mm = [4500, 3000]

[rubber]
frequency_hz = 14
loss_factor = 0.15

[sideways]
lateral_share = 0.8
equipment_height_mm = 600

[[edge_strips]]
name = "South wall"
path_mm = [[0, 0], [9000, 0]]
rate_N_mm_m = 25
shear_share = 0.4

[vibration]
acceleration_m_s2 = 0.5
dose_m_s175 = 0.4
"""


def add_dynamics(folder: Path) -> Path:
    """Adds all of it to the small case in `folder`; returns the folder."""
    with (folder / "case.toml").open("a", encoding="utf-8") as file:
        file.write(DYNAMICS)
    return folder
