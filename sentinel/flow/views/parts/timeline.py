"""The last two weeks of a table's rows, and what else is marked on their time line."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, Alert, Subject

GLANCE_S = 14 * DAY_S
"""So much is shown at a glance."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One thing on a time line: an alert (from `at` until `ends`, None while it stands) or a chore or event (a moment).

    `kind`: `alert`, `chore` or `event`; `words` the alert's sentence, the chore's or the event's name. `answered_at`:
    when a person answered an alert, who is `person`, and found `note`.
    """

    at: int
    kind: str
    words: str
    ends: int | None = None
    urgency: str = ""
    alert: int | None = None
    person: str = ""
    note: str = ""
    answered_at: int | None = None
    subject: Subject = ""


def lately(frame: pd.DataFrame, at: int, column: str, back_s: int = GLANCE_S) -> pd.DataFrame:
    """The rows of a frame in (at - back_s, at]; it is in order of `column`."""
    moments = frame[column].to_numpy(np.int64)
    begin, end = (int(np.searchsorted(moments, moment, side="right")) for moment in (at - back_s, at))
    return frame.iloc[begin:end]


def alert_marks(
    alerts: Iterable[Alert], subjects: Iterable[Subject], at: int, back_s: int = GLANCE_S
) -> tuple[Mark, ...]:
    """The alerts on some subjects that stood at any time of the last two weeks, or of `back_s`, the newest first."""
    wanted = set(subjects)
    marks = [
        Mark(
            a.raised_at, "alert", a.text, a.over_at, a.urgency, a.id, a.answered_by, a.finding, a.answered_at, a.subject
        )
        for a in alerts
        if a.subject in wanted and a.raised_at <= at and (a.over_at is None or a.over_at > at - back_s)
    ]
    return tuple(sorted(marks, key=lambda mark: (-mark.at, -(mark.alert or 0))))


def number(value: object) -> float | None:
    """A figure of a frame, None where it is missing."""
    return None if value is None or pd.isna(value) else float(value)  # type: ignore[call-overload, arg-type]


def text(value: object) -> str:
    """A word of a frame, empty where it is missing."""
    return value if isinstance(value, str) else ""


def records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """The rows of a frame, each by its columns' names."""
    return [{str(name): value for name, value in row.items()} for row in frame.to_dict("records")]
