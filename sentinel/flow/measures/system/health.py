"""Whether sentinel itself hears and gets through: quiet feeds, rows set aside, notices not delivered."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from sentinel.flow.language import Said, joined
from sentinel.flow.measures.base.ordered import moments_of, ordered, sentences, texts
from sentinel.flow.measures.base.shape import NO_CHART, SAID_ELSEWHERE, FactColumn, Measure, Options, Readings, Resets
from sentinel.flow.model import DAY_S
from sentinel.flow.reasons import Reason
from sentinel.flow.tables import FeedFacts, Tables

PAST_S = 30 * DAY_S

WHOLE_FOR_S, WHOLE_FEWEST = DAY_S, 2
"""A file stops mattering once its feed's later files, at least two of them, have been whole for a day (our choice, no
source): what was wrong has passed, and the person who looks after the computer has had a day to see it."""


def feed_quiet_min(tables: Tables, per: str, options: Options) -> Resets:
    """Time since the moment up to which a feed's data is complete, per feed, in min.

    Not the newest arrival: an old file sent again does not make a feed fresh. Files of a feed of visits that come in
    their time without a new row do, as they show that there was none. A feed that has given nothing yet is counted from
    the moment sentinel began to watch it. What is no silence, at the pace at which it comes, is within any bound. Of a
    feed whose files are each of one box, that box counts which is first quiet at its own pace (`of_box`), unless all
    are. `still`: the other feeds that went on coming.
    """
    feeds = tables.farm.feeds
    first = [_first_quiet(feed) for feed in feeds]
    known = [at for at, *_ in first]
    frame = moments_of("feed", [([feed.name for feed in feeds], known)], (), 0)
    # In bulk a feed stands there once for each moment at which more of it was known.
    then = {(f"feed:{feed.name}", one[0]): (*one, _still(feed, feeds)) for feed, one in zip(feeds, first, strict=True)}
    of = [then[subject, int(at)] for subject, at in zip(frame["subject"], frame["at"], strict=True)]
    return Resets(
        frame.assign(
            of_box=texts(np.array([box for _, _, box, _ in of], dtype=object)),
            still=texts(np.array([still for *_, still in of], dtype=object)),
            _bound_least=np.array([least_s / 60 for _, least_s, *_ in of], dtype=float),
        )
    )


def _first_quiet(feed: FeedFacts) -> tuple[int, int, str | None]:
    """What of a feed is quiet first: until when it is heard of, up to which silence in s it is not quiet, the box."""
    heard = feed.heard_until
    whole = (feed.watched_since if heard is None else heard, feed.quiet_least_s, None)
    if len(feed.boxes) < 2:
        return whole
    bound_s = feed.quiet_after_s or 0
    of_boxes = [
        (box.heard_until, max(box.quiet_least_s, feed.quiet_least_s), box.box)
        for box in feed.boxes
        if box.quiet_least_s is not None
    ]
    return min(whole, *of_boxes, key=lambda one: (one[0] + max(bound_s, one[1]), one[2] is not None))


def _still(feed: FeedFacts, feeds: Sequence[FeedFacts]) -> str | None:
    """The other feeds that have given what happened well after a feed's newest row."""
    if feed.known_until is None or feed.quiet_after_s is None:
        return None
    since = feed.known_until + feed.quiet_after_s // 2
    names = [other.name for other in feeds if other.known_until is not None and other.known_until > since]
    return ", ".join(names) or None


def rows_set_aside(tables: Tables, per: str, options: Options) -> Readings:
    """Rows that could not be read, or not wholly, at each reading of an export file, per file, as a number of rows.

    It is 0 again once the feed's later files have been whole for a day (`WHOLE_FOR_S`), or the file itself is read
    again and whole. `what` says in words how many were left out and how many kept without some of their cells.
    """
    files = tables.files
    lost = files["rows_set_aside"].to_numpy(float) + np.nan_to_num(files["rows_in_part"].to_numpy(float))
    row, at = _passed(files["feed"], files["at"].to_numpy(np.int64), lost)
    if len(row):  # a file that is read itself at that moment says it for itself; and one read twice passes once
        own = pd.MultiIndex.from_arrays([files["feed"], files["file"], files["at"]])
        then = pd.MultiIndex.from_arrays([files["feed"].iloc[row], files["file"].iloc[row], at])
        alone = ~then.isin(own) & ~then.duplicated()
        row, at = row[alone], at[alone]
    passed = files.iloc[row].assign(at=at, rows_set_aside=0, rows_in_part=0, rows_read=np.nan, reason=None)
    files = pd.concat([files, passed], ignore_index=True) if len(row) else files
    name = files["feed"] + "/" + files["file"]
    rows = ordered("file", name, files["at"], np.ones(len(files), bool))
    aside = rows.take(files["rows_set_aside"]).astype(float)
    in_part = np.nan_to_num(rows.take(files["rows_in_part"]).astype(float))
    read = rows.take(files["rows_read"]).astype(float)
    return Readings(
        rows.frame(
            value=aside + in_part,
            why=texts(np.where(np.isnan(aside), "the rows of this file were not counted", "").astype(object)),
            what=sentences(np.array([_what(*one) for one in zip(aside, in_part, read, strict=True)], dtype=object)),
            reason=_said(rows.take(files["reason"])),
            rows_read=np.where(read > 0, read, np.nan),
        )
    )


def _passed(feed: pd.Series, at: np.ndarray, lost: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The readings of files that lost rows after which their feed has been whole for long enough, and since when.

    `lost`: rows that each reading lost; NaN where they were not counted, which tells neither way.
    """
    code, _ = pd.factorize(feed.to_numpy(object))
    order = np.lexsort((at, code))
    code, at, lost = code[order], at[order], lost[order]
    place = np.arange(len(at))
    bad, whole = lost > 0, lost == 0
    last_bad = np.maximum.accumulate(np.where(bad, place, -1)) if len(at) else place
    hers = last_bad >= 0
    hers[hers] = code[last_bad[hers]] == code[hers]
    so_far = np.cumsum(whole)
    since = np.where(hers, so_far - so_far[np.maximum(last_bad, 0)], 0)
    long_enough = hers & whole & (since >= WHOLE_FEWEST) & (at >= at[np.maximum(last_bad, 0)] + WHOLE_FOR_S)
    ends = np.flatnonzero(long_enough)
    following = np.append(ends, -1)[np.searchsorted(ends, place)]
    passed = np.flatnonzero(bad & (following >= 0))
    passed = passed[code[following[passed]] == code[passed]]
    return order[passed], at[following[passed]]


def _what(aside: float, in_part: float, read: float) -> str:
    """How many rows of a file could not be read, and how many not wholly."""
    if np.isnan(aside) or not aside + in_part:
        return ""
    if read == 0 and not in_part:
        return Said("none of it could be read")
    left_out, kept = Said("{n|row|rows} left out", n=int(aside)), Said("{n|row|rows} read only in part", n=int(in_part))
    return joined(", ", [text for text, n in ((left_out, aside), (kept, in_part)) if n])


def _said(reasons: np.ndarray) -> pd.Series:
    """Reasons as sentences that can be said in any language."""
    # Not put into a column through a mask: that makes an array in which each text has the room of the longest.
    return sentences(np.fromiter((one.sentence() if isinstance(one, Reason) else None for one in reasons), object))


def undelivered_notices(tables: Tables, per: str, options: Options) -> Readings:
    """Notices given up since the channel last delivered one, per channel, as a number of notices.

    Read at each moment at which a notice to the channel ended; one given up in the same second as another was
    delivered is not counted, and neither is one given up 30 days ago or more. `notice` and `detail` are of the
    latest one given up so far, within those 30 days.
    """
    ends = tables.deliveries.sort_values(["at", "notice"], kind="stable")
    outcome = ends["outcome"]
    rows = ordered("channel", ends["channel"], ends["at"], outcome.isin(["delivered", "gave_up"]).to_numpy(bool))
    lost = rows.only(rows.take(outcome) == "gave_up")
    done = rows.only(rows.take(outcome) == "delivered")
    here = rows.only(rows.ends_moment)
    too_old = here.at - PAST_S
    last_done = done.up_to(here.code, here.at) - 1
    same = (last_done >= 0) & (done.code[last_done] == here.code) if len(done) else np.zeros(len(here), bool)
    since = np.where(same, np.maximum(done.at[last_done] if len(done) else 0, too_old), too_old)
    end = lost.up_to(here.code, here.at)
    number = end - lost.up_to(here.code, since)
    recent = end > lost.up_to(here.code, too_old)
    latest = lost.row[end[recent] - 1]
    latest_end = {}
    for column in ("notice", "detail"):
        latest_end[column] = np.full(len(here), None, dtype=object)
        latest_end[column][recent] = ends[column].to_numpy(object)[latest]
    return Readings(
        here.frame(
            value=number.astype(float),
            why=texts(np.full(len(here), "", dtype=object)),
            notice=texts(latest_end["notice"]),
            detail=_said(latest_end["detail"]),
        )
    )


def rule_blind_h(tables: Tables, per: str, options: Options) -> Resets:
    """Time since a rule could last be decided although its data came, per rule, in h.

    A rule cannot be decided while its measure fails. One that only waits for its feeds is not blind: a feed that does
    not come is reported as a quiet feed, for all the rules that rest on it.
    """
    decided = tables.farm.decided
    return Resets(moments_of("rule", [([name for name, _ in decided], [until for _, until in decided])], (), 0))


FEED_QUIET_MIN = Measure(
    name="feed_quiet_min",
    unit="min",
    per=("feed",),
    doc="min since the moment up to which the feed's data is complete",
    source="definition",
    check="worked by hand: test_health",
    compute=feed_quiet_min,
    charts=NO_CHART,
    facts=(FactColumn("of_box", SAID_ELSEWHERE), FactColumn("still", "feeds that still come")),
    reset="known until",
)

ROWS_SET_ASIDE = Measure(
    name="rows_set_aside",
    unit="rows",
    per=("file",),
    doc="rows of an export file that could not be read, or not completely, each time the file is read",
    source="definition",
    check="worked by hand: test_health",
    compute=rows_set_aside,
    charts=NO_CHART,
    uses=("files",),
    lookback_s=PAST_S,
    facts=(
        FactColumn("reason", "first reason"),
        FactColumn("rows_read", "rows read", "rows"),
        FactColumn("what", SAID_ELSEWHERE),
    ),
    about_arrival=True,
)

UNDELIVERED_NOTICES = Measure(
    name="undelivered_notices",
    unit="notices",
    per=("channel",),
    doc="notices given up since the channel last delivered one",
    source="definition",
    check="against plain words: test_health",
    compute=undelivered_notices,
    charts=NO_CHART,
    uses=("deliveries",),
    lookback_s=PAST_S,
    facts=(FactColumn("notice", "notice"), FactColumn("detail", "what the channel said")),
    about_arrival=True,
)

RULE_BLIND_H = Measure(
    name="rule_blind_h",
    unit="h",
    per=("rule",),
    doc="h since the rule could last be judged, unless it was data that was missing",
    source="definition",
    check="worked by hand: test_health",
    compute=rule_blind_h,
    charts=NO_CHART,
    about_arrival=True,
    reset="last decided",
)

MEASURES = (FEED_QUIET_MIN, ROWS_SET_ASIDE, UNDELIVERED_NOTICES, RULE_BLIND_H)
