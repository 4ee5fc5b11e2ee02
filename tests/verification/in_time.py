"""A floor under a dropped weight in time, mode by mode with damping by energy: what transforms are held against."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fem.drop_history import Contact, DropHistory

Floats = NDArray[np.float64]


def states(history: DropHistory, time: Floats) -> tuple[Floats, Floats]:
    """q and v (t, N) of the modes at ascending times (t,) s: steps within touches, free motion after them."""
    count = len(history.floor.angular)
    q, v = np.zeros((len(time), count)), np.zeros((len(time), count))
    starts = [contact.start for contact in history.contacts[1:]]
    for contact, until in zip(history.contacts, [*starts, np.inf], strict=True):
        inside = (time >= contact.start) & (time < contact.end)
        q[inside], v[inside] = _within(contact, time[inside])
        after = (time >= contact.end) & (time < until)
        q[after], v[after] = history.floor.free(
            contact.touch.q[-1, 0], contact.touch.v[-1, 0], time[after] - contact.end
        )
    return q, v


def _within(contact: Contact, time: Floats) -> tuple[Floats, Floats]:
    """Linear between the steps of a touch."""
    steps = contact.start + contact.touch.time[contact.touch.kept]
    low = np.clip(np.searchsorted(steps, time, side="right") - 1, 0, len(steps) - 2)
    share = ((time - steps[low]) / (steps[low + 1] - steps[low]))[:, None]
    q, v = contact.touch.q[:, 0], contact.touch.v[:, 0]
    return q[low] + share * (q[low + 1] - q[low]), v[low] + share * (v[low + 1] - v[low])
