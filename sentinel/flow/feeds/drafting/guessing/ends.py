"""Columns that say when a visit ended, where none says how long it was."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from sentinel.flow.feeds.drafting.guessing.field_guess import SURE_PERCENT, Guess
from sentinel.flow.feeds.drafting.guessing.relations import LONGEST_STAY_S, is_stay, seconds_of_day
from sentinel.flow.feeds.drafting.lexicon.titles import read_title
from sentinel.flow.feeds.drafting.sample.profile import Profile
from sentinel.flow.model import DAY_S

_LIKELY = 75
"""A column that follows the start by minutes, and does not say by its title that it is the end, is asked for."""


def ends(start: Guess, profiles: Sequence[Profile]) -> list[Profile]:
    """The columns that follow a visit's start by minutes in every row, the likeliest end of it first: the one that says
    so, else the latest."""
    by_title = {p.title: p for p in profiles}
    begin = by_title[start.source.title].values
    own = {start.source.title}
    if start.clock is not None:
        begin = begin + seconds_of_day(by_title[start.clock.title])
        own.add(start.clock.title)
    found: list[tuple[bool, float, Profile]] = []
    for one in profiles:
        if one.title in own or one.shape not in ("moment", "clock") or len(one.values) != len(begin):
            continue
        gap = one.values - begin if one.shape == "moment" else (seconds_of_day(one) - begin) % DAY_S
        says = read_title(one.title).concepts
        if is_stay(gap) and float(np.nanmedian(gap)) <= LONGEST_STAY_S and "server" not in says:
            found.append(("end" not in says, -float(np.nanmedian(gap)), one))
    return [one for *_, one in sorted(found, key=lambda each: each[:2])]


def by_its_end(start: Guess, profiles: Sequence[Profile], used: Collection[str]) -> Guess | None:
    """The duration of visits as the time up to the column of their end; None if there is no such column."""
    able = [one for one in ends(start, profiles) if one.title not in used]
    if not able:
        return None
    first, *others = able
    percent = SURE_PERCENT if "end" in read_title(first.title).concepts else _LIKELY
    return Guess("duration_s", first.source, percent, others=tuple(one.source for one in others[:2]), ends=True)
