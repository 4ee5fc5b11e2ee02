"""Invented drops, bays, air, groups and machines on any floor, as the papers on the floor in motion see them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from postprocess.dynamics.bands import CENTRES
from postprocess.dynamics.views import (
    AirView,
    BayView,
    CoupledModesView,
    DropMapView,
    DropView,
    DynamicsView,
    SidewaysView,
    SteadyView,
    SupportView,
    TransmissibilityView,
)
from postprocess.view import PlanView

Floats = NDArray[np.float64]

SPRINGS, RUBBER, MASS = 3.5, 12.0, 9000.0
"""Frequencies of the slab on its springs and on rubber, Hz, and its mass, kg."""
CONTACT = 0.016
"""Time of the first touch, s."""
LONG = "Olympic platform beside the long wall of the weights room"


def impact_view(plan: PlanView, *, drops: int = 2, bays: int = 2, air: bool = True, steady: int = 3) -> DynamicsView:
    """So many drops, bays and moving loads; the first drop is the heaviest, the first machine meets a mode."""
    made = tuple(_drop(plan, number, bays) for number in range(drops))
    views = tuple(_steady(plan, number) for number in range(steady))
    names = tuple(f"Bay {number + 1}" for number in range(bays))
    return DynamicsView(
        springs_alone=(SPRINGS, 3.7, 4.1),
        modes=_modes(bays, air),
        bay_names=names,
        bays=tuple(_bay(plan, number, bays) for number in range(bays)),
        air=_air() if air else None,
        drops=made,
        drop_map=_map(plan, made[0], bays) if made else None,
        transmissibility=transmissibility_of(("Middle of the slab", "North-east corner by the stair")),
        steady=views,
        sideways=_sideways(),
        truncation=0.004,
        sentences=("Springs pass less of a heavy drop than rubber does.", "Coils are modelled without mass."),
        assumed=("damping of the springs 1 % of critical", "rubber of 12 Hz and a loss factor of 0.2"),
    )


def one_mass(frequency: float, ratio: float, time: Floats, impulse: float) -> Floats:
    """Force into the structure of a rigid mass on a spring after an impulse at once, N."""
    omega = 2 * np.pi * frequency
    rate, damped = MASS * omega**2, omega * np.sqrt(1 - ratio**2)
    motion = impulse / (MASS * damped) * np.exp(-ratio * omega * time) * np.sin(damped * time)
    return np.asarray(rate * motion)


def _support(name: str, time: Floats, force: Floats, levels: Floats, bays: int) -> SupportView:
    shares = np.linspace(1.0, 0.4, bays)
    shape = np.sin(2 * np.pi * 7.0 * time) * np.exp(-1.3 * time)
    peak = float(np.abs(force).max())
    velocity = np.outer(shape, shares) * 2e-7 * peak
    return SupportView(
        name=name,
        time=time,
        force=force,
        velocity=velocity,
        acceleration=44.0 * velocity,
        peak_force=peak,
        peak_velocity=np.abs(velocity).max(axis=0),
        peak_acceleration=np.abs(velocity).max(axis=0) * 44.0,
        force_levels=levels,
        velocity_levels=np.outer(levels, np.ones(bays)) + 40.0 + 10 * np.log10(shares),
        dose=shares * peak * 4e-6,
    )


def _levels(frequency: float, loss: float, impulse: float) -> Floats:
    """Bands of a short blow through a mass on a spring, dB."""
    ratio = (CENTRES / frequency) ** 2
    passed = np.sqrt((1 + loss**2) / ((1 - ratio) ** 2 + loss**2))
    energy = 2 * 0.23 * CENTRES * (impulse * passed) ** 2 / (1 + (CENTRES / 60) ** 4)
    return np.asarray(10 * np.log10(energy))


def _drop(plan: PlanView, number: int, bays: int) -> DropView:
    mass, height = 100.0 / (number + 1), 1.5 / (number + 1)
    speed = float(np.sqrt(2 * 9.81 * height))
    impulse = 1.2 * mass * speed
    fine = np.concatenate([np.linspace(0, 0.1, 1500), np.linspace(0.1, 2.5, 6000)[1:]])
    pulse = np.where(fine < CONTACT, impulse * np.pi / (2 * CONTACT) * np.sin(np.pi * fine / CONTACT), 0.0)
    again = (fine > 0.22) & (fine < 0.22 + CONTACT)
    pulse[again] += 0.04 * impulse * np.pi / (2 * CONTACT) * np.sin(np.pi * (fine[again] - 0.22) / CONTACT)
    force = one_mass(SPRINGS, 0.01, fine, impulse)
    schedule = plan.schedule
    static = schedule.loads["service"]
    reach = np.exp(-np.hypot(*(schedule.xy - schedule.xy.mean(axis=0)).T))
    share = reach / reach.sum()
    jacks = static + np.outer(force[::4], share)
    reserves = schedule.solid_deflections - jacks.max(axis=0) / schedule.rates
    worst = int(reserves.argmin())
    springs, rubber, bare = (_levels(*values, impulse) for values in ((SPRINGS, 0.02), (RUBBER, 0.2), (1e5, 0.02)))
    names = (f"{LONG}, 1st", "Barbell at the rack")
    return DropView(
        name=names[number] if number < len(names) else f"Drop {number + 1}",
        place=(1.5 + number % 3, 1.1),
        mass=mass,
        height=height,
        speed=speed,
        stiffness=1.5e6,
        restitution=0.2,
        depth=0.012,
        contact_time=CONTACT,
        impulse=impulse,
        touches=2,
        time=fine,
        contact=pulse,
        slab=force / 4.4e6,
        jack_time=fine[::4],
        jack_loads=jacks,
        worst_jack=worst,
        reserve=float(reserves.min()),
        full_reserve=float(reserves.min()) - 1e-3,
        least_load=float(jacks.min()),
        clearance=0.031 if number == 0 else None,
        springs=_support("springs", fine, force, springs, bays),
        rubber=_support("rubber layer", fine, one_mass(RUBBER, 0.1, fine, impulse), rubber, bays),
        bare=_support("bare floor", fine, pulse, bare, bays),
        airless=_support("springs without air", fine, force, springs, bays),
        reduction=bare - springs,
        rubber_reduction=bare - rubber,
        drops=40 if number == 0 else None,
        day_dose=np.linspace(0.3, 0.1, bays) if number == 0 else None,
        step_change=0.0012,
        assumed=("stiffness of the covering 1500 N/mm and restitution 0.2",) if number == 0 else (),
    )


def _map(plan: PlanView, drop: DropView, bays: int) -> DropMapView:
    x0, y0, x1, y1 = plan.plan.bounds
    spacing = float(np.sqrt(plan.plan.area / 90))
    x, y = np.meshgrid(np.arange(x0 + spacing / 2, x1, spacing), np.arange(y0 + spacing / 2, y1, spacing))
    xy = np.column_stack([x.ravel(), y.ravel()])
    far = np.hypot(*(xy - xy.mean(axis=0)).T) / np.hypot(x1 - x0, y1 - y0)
    nearest = np.hypot(*(xy[:, None] - plan.schedule.xy).transpose(2, 0, 1)).argmin(axis=1)
    velocity = (1 - far) * 1e-3 if bays else np.zeros(len(xy))
    force = drop.springs.peak_force * (0.8 + far)
    return DropMapView(
        name=drop.name,
        cells=xy,
        xy=xy,
        spacing=spacing,
        force=force,
        jack_load=9e3 * (1 + far),
        reserve=0.02 - 0.028 * far,
        worst_jack=nearest.astype(np.int64),
        least_load=2e3 - 500.0 * far,
        velocity=velocity,
    )


def transmissibility_of(names: tuple[str, ...]) -> TransmissibilityView:
    """Curves of one mass on springs and on rubber, a little apart from point to point."""
    frequencies = np.geomspace(0.5, 100, 700)
    curves = []
    for own, loss in ((SPRINGS, 0.02), (RUBBER, 0.2)):
        ratio = (frequencies / own) ** 2
        passed = np.sqrt((1 + loss**2) / ((1 - ratio) ** 2 + loss**2))
        curves.append(np.array([passed * (1 + 0.25 * point * ratio / (1 + ratio)) for point in range(len(names))]))
    return TransmissibilityView(frequencies, names, *curves, airless=curves[0])


def _steady(plan: PlanView, number: int) -> SteadyView:
    group = number % 3 != 2
    rates = np.linspace(1.5, 3.5, 81) if group else np.linspace(8.0, 25.0, 81)
    tuned = 1 / np.sqrt((1 - (2 * rates / SPRINGS) ** 2) ** 2 + 0.04**2) if group else 20 / rates**1.2
    names = ("Class of twelve in the studio beside the stair", "Two who skip", "Air handling unit")
    meets = ("second harmonic meets heave at 3.50 Hz at 1.75 jumps a second",) if number % 3 == 0 else ()
    return SteadyView(
        kind="group" if group else "machine",
        name=names[number % 3] if number < 3 else f"{names[number % 3]} {number}",
        rates=rates,
        acceleration=0.08 * tuned,
        force=420.0 * tuned,
        where=(3.0, 1.0),
        worst_rate=float(rates[np.argmax(tuned)]),
        meets=meets,
        reserve=0.004,
        worst_jack=0,
        least_load=1.2e3,
        clearance=0.03,
        basis="factors by the number of people" if group else "unbalance from the rotor's grade",
    )


def _modes(bays: int, air: bool) -> CoupledModesView:
    frequencies = np.array([3.1, 3.6, 3.9, 7.2, 9.8, 14.1, 18.3, 22.7, 26.0, 31.1])
    count = len(frequencies)
    floor = np.where(np.arange(count) == 3, 0.7, 0.1) if bays else np.zeros(count)
    cavity = np.full(count, 0.05) if air else np.zeros(count)
    heave, rock = np.zeros((2, count))
    heave[0], rock[1] = 0.93, 0.88
    kinds = ("heave", "rocking about x", "rocking about y", "structural floor, with the slab in part")
    kinds = (*kinds, *["bending of the slab"] * (count - 4))
    damping = np.linspace(0.011, 0.034, count)
    return CoupledModesView(
        *(frequencies, damping, heave, rock, np.roll(rock, 1)), *(1 - floor - cavity, floor, cavity), kinds
    )


def _bay(plan: PlanView, number: int, bays: int) -> BayView:
    x0, y0, x1, y1 = plan.plan.bounds
    step = (x1 - x0) / bays
    notes = ("springs deflect 6.2 times what the floor does, less than ten times",) if number == 0 else ()
    low, high = (x0 + number * step, y0 - 0.3), (x0 + (number + 1) * step, y1 + 0.2)
    deflections = (22e-3, 3.5e-3) if number == 0 else (21e-3, 1.2e-3)
    return BayView(
        f"Bay {number + 1}", low, high, 6.0 + 4 * number, 11000.0, 6, *deflections, 3.9 if number == 0 else 3.6, notes
    )


def _air() -> AirView:
    sentence = "Air raises the heave from 3.50 to 5.10 Hz; 4.8 m of open edge in even parts bring it back within 5 %."
    return AirView("vents", 0.05, 3.5, 3.7, 5.1, 4.4, 15.9, 3.6, 20.0, 4.8, None, 0.12, sentence)


def _sideways() -> SidewaysView:
    kinds = ("sway along y with rocking", "sway along x", "twist", "heave", "rocking about x", "rocking about y")
    frequencies = np.array([2.1, 2.3, 2.9, 3.5, 4.2, 4.9])
    shares = 0.8 * np.eye(6)[[1, 0, 5, 2, 3, 4]] + 0.2 / 6
    notes = ("A lateral rate of the whole vertical one is an assumption.",)
    return SidewaysView(frequencies, kinds, shares, np.array([3.1e6, 3.3e6]), notes)


def long_names(view: DynamicsView) -> DynamicsView:
    """The view with names of many characters, some of them of markup, everywhere."""
    tail = "-of-the-long-wall $5^{a}_b & <b>[red] by the stair of the second floor"
    points = tuple(f"{name}{tail}" for name in view.transmissibility.names)
    bays = tuple(replace(bay, name=f"{bay.name}{tail}", notes=3 * (f"{tail} is near",)) for bay in view.bays)
    kinds = tuple(f"{kind}{tail}" for kind in view.modes.kinds)
    return replace(
        view,
        modes=replace(view.modes, kinds=kinds),
        bays=bays,
        bay_names=tuple(bay.name for bay in bays),
        drops=tuple(replace(drop, name=f"{drop.name}{tail}") for drop in view.drops),
        drop_map=None if view.drop_map is None else replace(view.drop_map, name=f"{view.drop_map.name}{tail}"),
        transmissibility=replace(view.transmissibility, names=points),
        steady=tuple(replace(each, name=f"{each.name}{tail}", meets=3 * each.meets) for each in view.steady),
        sideways=replace(view.sideways, kinds=tuple(f"{kind}{tail}" for kind in view.sideways.kinds)),
        sentences=12 * view.sentences,
        assumed=6 * view.assumed,
    )
