"""What was read when, until when each feed is known, and what was set aside and why."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from sentinel.flow.model import DAY_S, Alert, natural_key
from sentinel.flow.reasons import Reason
from sentinel.flow.rules import Rule
from sentinel.flow.schedule.feeds import FeedLine, feed_line
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.timeline import lately, records

NEWEST = 8
"""So many of a feed's newest files are listed."""

ASIDE_MOST = 50


@dataclass(frozen=True, slots=True)
class ReadFile:
    """One reading of one export file: when, how many rows were understood, how many were not, the first reason."""

    file: str
    at: int
    rows_read: int
    rows_set_aside: int
    reason: Reason | None


@dataclass(frozen=True, slots=True)
class Aside:
    """One row (with `line` 0 a whole file) that could not be read: the row as it stands in the export, and why."""

    file: str
    at: int
    line: int
    row: str
    reason: Reason | None


@dataclass(frozen=True, slots=True)
class Feed:
    """One feed: until when it is known, how often it should come, its newest files, and what of it is set aside.

    `tables` are those it fills. `files_24h` and `rows_24h` count what was read in the last 24 h. `aside_more` rows are
    set aside besides those listed.
    """

    line: FeedLine
    pace: str
    tables: tuple[str, ...]
    last_read_at: int | None
    files_24h: int
    rows_24h: int
    files: tuple[ReadFile, ...]
    aside: tuple[Aside, ...]
    aside_more: int


def feeds_page(
    tables: Tables, set_aside: Iterable[Mapping[str, Any]], alerts: Iterable[Alert], rules: Mapping[str, Rule], at: int
) -> tuple[Feed, ...]:
    """Every feed, those that are behind first.

    `set_aside`: the rows set aside whose file has not been read clean since, as `feed`, `file`, `at`, `line`, `row`,
    `reason`; a feed that only they know is listed too, as nothing may be left unsaid.
    """
    everything, rows = list(alerts), [dict(one) for one in set_aside]
    feeds = []
    for facts in tables.farm.feeds:
        line = feed_line(facts, everything, rules, at)
        feeds.append(_feed(line, facts.pace, tuple(t for t in facts.tables if "." not in t), tables, rows, at))
    known = {facts.name for facts in tables.farm.feeds}
    for name in sorted({str(row["feed"]) for row in rows} - known, key=natural_key):
        feeds.append(_feed(FeedLine(name, None, 0, None, False, None), "", (), tables, rows, at))
    return tuple(sorted(feeds, key=lambda feed: (not feed.line.behind, natural_key(feed.line.feed))))


def _feed(
    line: FeedLine, pace: str, fills: tuple[str, ...], tables: Tables, set_aside: list[dict[str, Any]], at: int
) -> Feed:
    """One feed with its files and rows set aside, the newest first."""
    files = tables.files[(tables.files["feed"] == line.feed).to_numpy(bool)]
    files = files[files["at"].to_numpy(np.int64) <= at]
    newest = list(reversed(records(files.tail(NEWEST))))
    day = lately(files, at, "at", DAY_S)
    aside = sorted(
        (row for row in set_aside if row["feed"] == line.feed), key=lambda r: (-r["at"], r["file"], r["line"])
    )
    return Feed(
        line=line,
        pace=pace,
        tables=fills,
        last_read_at=int(newest[0]["at"]) if newest else None,
        files_24h=len(day),
        rows_24h=int(day["rows_read"].fillna(0).sum()),
        files=tuple(
            ReadFile(
                str(row["file"]),
                int(row["at"]),
                _count(row["rows_read"]),
                _count(row["rows_set_aside"]),
                row["reason"] if isinstance(row["reason"], Reason) else None,
            )
            for row in newest
        ),
        aside=tuple(
            Aside(str(row["file"]), int(row["at"]), int(row["line"]), str(row["row"]), row["reason"])
            for row in aside[:ASIDE_MOST]
        ),
        aside_more=max(0, len(aside) - ASIDE_MOST),
    )


def _count(value: float) -> int:
    return 0 if np.isnan(value) else round(value)
