"""Which tests of cows are one milk recording, and from when until when each counts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sentinel.flow.measures.cells.recording import PAST_S, CowTests, running
from sentinel.flow.model import DAY_S, HOUR_S

LATELY_S = 60 * DAY_S
"""The cows of the herd that are recorded are those tested within so long, and a recording takes in tests that follow it
for so long: recordings are some four to eight weeks apart (common practice, no source)."""

TAKES_S = (26 * HOUR_S, 10 * DAY_S)
"""The least and the most that tests of one recording may lie apart: two recordings never begin on one day."""

TOO_LONG_S = 10 * DAY_S
"""Where somebody is tested all the time for longer, a box or a sensor counts cells: that is no recording."""

LOOKBACK_S = PAST_S + LATELY_S + TAKES_S[1]
"""To tell the recordings of `PAST_S`, the cows tested before each of them, and that nobody was just before it."""


@dataclass(frozen=True, slots=True)
class MilkRecording:
    """One milk recording: the day it began on the farm's calendar, and moments in UTC seconds.

    `begins` is its first test; from `counts_from` on so many cows were tested that it is one. Tests before `until` are
    taken in. Where `goes_on`, there is a test then with which they have gone on for too long to be a recording.
    """

    day: str
    begins: int
    counts_from: int
    until: int
    goes_on: bool


def milk_recordings(tests: CowTests, takes_s: int, least_share: float, zone: str) -> tuple[MilkRecording, ...]:
    """The milk recordings among the tests of cows, the oldest first.

    Tests begin anew where nobody was tested for `takes_s` before. They are a recording as soon as at least
    `least_share` % of the cows that were tested in the last 60 days are among them. Fewer, such as one cow's milk sent
    in by itself, are none: they belong to the recording before them. Nor are those that go on for over ten days.
    """
    rows = tests.rows
    if not len(rows):
        return ()
    same = rows.code[1:] == rows.code[:-1]
    before = np.append(-1, np.where(same, rows.at[:-1], -1))
    following = np.append(np.where(same, rows.at[1:], np.iinfo(np.int64).max), np.iinfo(np.int64).max)
    moments, first, place = np.unique(rows.at, return_index=True, return_inverse=True)
    lately = running(rows.at, np.minimum(following, rows.at + LATELY_S), np.ones(len(rows), bool))[first]
    apart = int(np.clip(takes_s, *TAKES_S))
    starts = np.flatnonzero(np.append(True, np.diff(moments) > apart))
    session = np.searchsorted(starts, np.arange(len(moments)), side="right") - 1
    begins = moments[starts][session]
    firsts = np.zeros(len(moments), np.int64)
    np.add.at(firsts, place, before < begins[place])
    in_all = np.cumsum(firsts)
    cows = in_all - np.append(0, in_all)[starts][session]
    enough = np.flatnonzero((100.0 * cows >= least_share * lately) & (moments <= begins + TOO_LONG_S))
    told, earliest = np.unique(session[enough], return_index=True)
    whole = moments[starts][told], moments[enough][earliest]
    ends = np.minimum(np.append(whole[1][1:], np.iinfo(np.int64).max), whole[0] + LATELY_S)
    late = np.searchsorted(moments, whole[0] + TOO_LONG_S, side="right")
    goes_on = np.append(session, -1)[late] == told
    until = np.where(goes_on, np.append(moments, 0)[late], ends)
    columns = (_days(whole[0], zone), whole[0].tolist(), whole[1].tolist(), until.tolist(), goes_on.tolist())
    return tuple(MilkRecording(*one) for one in zip(*columns, strict=True))


def _days(at: np.ndarray, zone: str) -> list[str]:
    """The days of moments on the farm's calendar: `2026-11-12`."""
    local = pd.DatetimeIndex(pd.to_datetime(at, unit="s", utc=True)).tz_convert(zone)
    return [str(day) for day in local.strftime("%Y-%m-%d")]
