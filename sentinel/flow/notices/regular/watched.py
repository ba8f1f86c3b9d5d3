"""Whether everything is being watched: the line on each worklist that tells silence from a quiet farm."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sentinel.flow.evaluation.quiet import quiet_since
from sentinel.flow.language import told
from sentinel.flow.notices.desk import Desk
from sentinel.flow.tables import Tables


def failing_channels(desk: Desk, tables: Tables) -> list[str]:
    """The channels of the desk's people on which the last notice that ended was given up, in order."""
    ends = tables.deliveries[tables.deliveries["outcome"].isin(("delivered", "gave_up"))]
    last = dict(zip(ends["channel"], ends["outcome"], strict=True))  # in order of time: the last one stays
    channels = dict.fromkeys(channel for person in desk.people for channel in person.channels)
    return [channel for channel in channels if last.get(channel) == "gave_up"]


def watched_line(at: int, desk: Desk, tables: Tables, troubles: Callable[[], Sequence[str]] = tuple) -> str:
    """One sentence: that each feed is read, each rule decided and no channel fails, or what of it is not so.

    `troubles` is asked what is the matter with sentinel itself, in sentences without a full stop.
    """
    words, farm = desk.speaks(), tables.farm
    amiss = list(troubles())
    for feed in farm.feeds:
        if feed.known_until is None:
            amiss.append(told(words, "feed {feed} was not read yet", feed=feed.name))
        elif quiet_since(feed, at) is not None:
            amiss.append(told(words, "feed {feed} is quiet", feed=feed.name))
    failing = [rule for rule, until in farm.decided if until < at]
    amiss += [told(words, "rule {rule} cannot be decided", rule=rule) for rule in failing]
    amiss += [told(words, "channel {channel} does not deliver", channel=one) for one in failing_channels(desk, tables)]
    if amiss:
        return told(words, "Not everything is being watched: {what}.", what="; ".join(amiss))
    feeds = told(words, "{n|feed|feeds} read", n=len(farm.feeds))
    rules = told(words, "{n|rule|rules} decided", n=len(farm.decided))
    return told(words, "All watched: {feeds}, {rules}, no channel failing.", feeds=feeds, rules=rules)
