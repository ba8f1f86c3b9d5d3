"""The course of an udder episode: how far it has come, and how far the rise of the conductivity has."""

from __future__ import annotations

import numpy as np

from sentinel.flow.model import HOUR_S
from sentinel.simulator.plans.happenings import Udder
from sentinel.simulator.spec import Numbers, Whole


def course(udder: Udder, at: Whole) -> Numbers:
    """How far an episode has come at each moment, from 0 to 1: up evenly, full, and away by halves.

    >>> one = Udder("udder-spike", "usual", 0, 0, 0, 0, 100, 10, 20, 30, 0.2, 0.0, 0.0, 500.0)
    >>> course(one, np.array([99, 105, 110, 130, 145, 159])).round(2).tolist()
    [0.0, 0.5, 1.0, 1.0, 0.25, 0.0]
    """
    up = np.clip((at - udder.start) / max(udder.grow_s, 1), 0.0, 1.0)
    left = np.clip(1.0 - (at - (udder.start + udder.grow_s + udder.hold_s)) / max(udder.fade_s, 1), 0.0, 1.0)
    return np.asarray(up * left**2)


def rise_course(udder: Udder, at: Whole) -> Numbers:
    """How far the rise of the conductivity has come: as the episode, but gone within hours after a single spike."""
    if udder.shape != "single":
        return course(udder, at)
    since = at - udder.start
    return np.where((since >= 0) & (since < udder.grow_s + min(udder.hold_s, 14 * HOUR_S)), course(udder, at), 0.0)
