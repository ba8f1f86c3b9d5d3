"""Whether sentinel itself hears and gets through: quiet feeds, notices not delivered, rules that cannot tell."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sentinel.flow.measures.base.ordered import moments_of, ordered, said, texts
from sentinel.flow.measures.base.shape import NO_CHART, SAID_ELSEWHERE, FactColumn, Measure, Options, Readings, Resets
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import FeedFacts, Tables

PAST_S = 30 * DAY_S


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
            detail=said(latest_end["detail"]),
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

MEASURES = (FEED_QUIET_MIN, UNDELIVERED_NOTICES, RULE_BLIND_H)
