"""Notices and the outbox: a delivery for each channel that a notice goes to, until it has arrived or is given up."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sentinel.edges.store.database import Store, fetch
from sentinel.edges.store.log import append_entries
from sentinel.flow.model import HOUR_S, Delivery, Entry, Notice
from sentinel.flow.reasons import Reason, from_json, to_json


@dataclass(frozen=True, slots=True)
class OutboxLine:
    """A delivery that waits: of which notice, by which channel, after how many tries, and what the notice says."""

    notice: int
    channel: str
    attempts: int
    at: int
    person: str
    kind: str
    title: str
    body: str
    urgency: str
    alerts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class NoticeOutcome:
    """What became of a notice by one channel: `waiting`, `delivered` or `gave_up`.

    `at`: when it was written; `alerts`: the numbers of those that it tells of.
    """

    notice: int
    at: int
    alerts: frozenset[int]
    outcome: str


# --- notices ---------------------------------------------------------------------------------------------


def put_notices(store: Store, notices: Iterable[Notice], channels: Mapping[str, Sequence[str]]) -> list[Notice]:
    """Write notices and their outbox lines, one per channel of the person; gives them their ids.

    One whose urgency is `log` is only kept: another notice says it.
    """
    given = []
    with store.writing() as conn:
        for notice in notices:
            new = conn.execute(
                "insert into notices (at, person, kind, title, body, urgency, alerts) values (?, ?, ?, ?, ?, ?, ?)",
                (
                    notice.at,
                    notice.person,
                    notice.kind,
                    notice.title,
                    notice.body,
                    notice.urgency,
                    json.dumps(list(notice.alerts)),
                ),
            ).lastrowid
            for channel in channels.get(notice.person, ()) if notice.urgency != "log" else ():
                conn.execute(
                    "insert into deliveries (notice, channel, outcome, attempts, next_at, detail) "
                    "values (?, ?, 'waiting', 0, ?, '')",
                    (new, channel, notice.at),
                )
            given.append(replace(notice, id=str(new)))
    return given


def all_notices(store: Store) -> list[Notice]:
    """Every notice, in the order they were written, as everywhere here."""
    return _notices(store, "1")


def notices_about(store: Store, alerts: Sequence[int], since: int) -> list[Notice]:
    """The notices of `since` or later, and every one that names one of these alerts, however old."""
    naming = (
        "exists (select 1 from json_each(notices.alerts) named where named.value in (select value from json_each(?)))"
    )
    first = "(select min(raised_at) from alerts where id in (select value from json_each(?)))"
    numbers = json.dumps(list(alerts))
    return _notices(store, f"at >= ? or (at >= {first} and {naming})", (since, numbers, numbers))


def notice_with(store: Store, number: int) -> Notice | None:
    """The notice with this number."""
    notices = _notices(store, "id = ?", (number,))
    return notices[0] if notices else None


def reword_notice(store: Store, notice: Notice) -> None:
    """Write down what a notice said whose words were made when it was sent."""
    values = (notice.at, notice.title, notice.body, json.dumps(list(notice.alerts)), int(notice.id))
    with store.writing() as conn:
        conn.execute("update notices set at = ?, title = ?, body = ?, alerts = ? where id = ?", values)


def _notices(store: Store, where: str, values: Sequence[Any] = ()) -> list[Notice]:
    put_back = "exists (select 1 from put_back where tab = 'notices' and key = cast(id as text)) as put_back"
    rows = fetch(store, f"select *, {put_back} from notices where {where} order by id", values)
    return [_notice(row) for row in rows]


def _notice(row: sqlite3.Row) -> Notice:
    return Notice(
        row["at"],
        row["person"],
        row["kind"],
        row["title"],
        row["body"],
        row["urgency"],
        tuple(json.loads(row["alerts"])),
        str(row["id"]),
        bool(row["put_back"]),
    )


# --- deliveries ------------------------------------------------------------------------------------------


def deliveries_of(
    store: Store, notices: Iterable[Notice]
) -> list[tuple[str, str, str, int, int | None, Reason | None]]:
    """Each delivery of some notices: notice, channel, outcome, tries, when it ended, what the channel said."""
    rows = fetch(
        store,
        "select notice, channel, outcome, attempts, at, detail from deliveries "
        "where notice in (select value from json_each(?)) order by notice, channel",
        (json.dumps([int(notice.id) for notice in notices]),),
    )
    return [(str(row[0]), row[1], row[2], row[3], row[4], from_json(row[5])) for row in rows]


def pushed_between(store: Store, begin: int, end: int, kinds: Sequence[str]) -> dict[str, list[int]]:
    """Per person the moments in (begin, end] at which notices of some kinds were written that ring."""
    pushed: dict[str, list[int]] = {}
    sql = (
        "select person, at from notices where at > ? and at <= ? and urgency <> 'log' "
        "and kind in (select value from json_each(?)) order by at"
    )
    for person, at in fetch(store, sql, (begin, end, json.dumps(list(kinds)))):
        pushed.setdefault(person, []).append(at)
    return pushed


def deliveries_due(store: Store, at: int) -> list[OutboxLine]:
    """The deliveries to try by `at`, and all not tried yet."""
    rows = fetch(
        store,
        "select d.notice, d.channel, d.attempts, n.at, n.person, n.kind, n.title, n.body, n.urgency, n.alerts "
        "from deliveries d join notices n on n.id = d.notice "
        "where d.outcome = 'waiting' and (d.attempts = 0 or d.next_at <= ? or d.next_at > ?) "
        "order by d.notice, d.channel",
        (at, at + HOUR_S),  # so far ahead only a clock that was wrong has put one off
    )
    return [OutboxLine(**{**dict(row), "alerts": tuple(json.loads(row["alerts"]))}) for row in rows]


def next_delivery_at(store: Store) -> int | None:
    """When the next delivery is to be tried; None if none waits."""
    first = fetch(store, "select min(next_at) from deliveries where outcome = 'waiting'")[0][0]
    return None if first is None else int(first)


def is_waiting(store: Store, person: str, channel: str, kind: str) -> bool:
    """Whether a notice of a kind waits for a person's channel."""
    rows = fetch(
        store,
        "select 1 from deliveries d join notices n on n.id = d.notice "
        "where n.person = ? and d.channel = ? and d.outcome = 'waiting' and n.kind = ? limit 1",
        (person, channel, kind),
    )
    return bool(rows)


def notice_outcomes(
    store: Store, person: str, channel: str, kinds: Sequence[str], *, since: int = 0, before: int | None = None
) -> list[NoticeOutcome]:
    """What became of a person's notices of some kinds by one channel, in order of their number.

    `since`: only of notices of that moment or later; `before`: only of those with a smaller number.
    """
    rows = fetch(
        store,
        "select n.id, n.at, n.alerts, d.outcome from notices n join deliveries d on d.notice = n.id "
        f"where n.person = ? and d.channel = ? and n.kind in ({', '.join('?' * len(kinds))}) "
        "and n.at >= ? and (? is null or n.id < ?) order by n.id",
        (person, channel, *kinds, since, before, before),
    )
    return [NoticeOutcome(row["id"], row["at"], frozenset(json.loads(row["alerts"])), row["outcome"]) for row in rows]


def last_ended_delivery(store: Store, channel: str) -> Delivery | None:
    """The delivery by a channel that ended last, whether it arrived or was given up."""
    rows = fetch(
        store,
        "select notice, channel, at, outcome, detail from deliveries where channel = ? and outcome <> 'waiting' "
        "order by at desc, notice desc limit 1",
        (channel,),
    )
    if not rows:
        return None
    notice, channel, at, outcome, detail = rows[0]
    return Delivery(str(notice), channel, at, outcome, from_json(detail))


def first_stuck_delivery(store: Store, channel: str) -> tuple[int, Reason | None] | None:
    """Of the notices that a channel was tried for and that still wait: when the first was written, and why it waits."""
    rows = fetch(
        store,
        "select n.at, d.detail from deliveries d join notices n on n.id = d.notice "
        "where d.channel = ? and d.outcome = 'waiting' and d.attempts > 0 order by n.at limit 1",
        (channel,),
    )
    return (int(rows[0]["at"]), from_json(rows[0]["detail"])) if rows else None


def delivery_tried(
    store: Store,
    notice: int,
    channel: str,
    at: int,
    outcome: str,
    detail: Reason | None,
    next_at: int | None,
    entries: Iterable[Entry],
) -> None:
    """Note a try of a delivery: `waiting` (again at `next_at`), `delivered` or `gave_up`; with log entries."""
    with store.writing() as conn:
        conn.execute(
            "update deliveries set outcome = ?, attempts = attempts + 1, next_at = ?, at = ?, detail = ? "
            "where notice = ? and channel = ? and outcome = 'waiting'",
            (outcome, next_at, None if outcome == "waiting" else at, to_json(detail), notice, channel),
        )
        append_entries(store, entries)


def put_off_delivery(store: Store, notice: int, channel: str, at: int, attempts: int) -> None:
    """Try a delivery at `at` next, and count it as tried so often, once at least."""
    with store.writing() as conn:
        conn.execute(
            "update deliveries set next_at = ?, attempts = max(?, 1) where notice = ? and channel = ?",
            (at, attempts, notice, channel),
        )


def hurry_channel(store: Store, channel: str, at: int) -> None:
    """Try at `at` all that waits for a channel until later."""
    with store.writing() as conn:
        conn.execute(
            "update deliveries set next_at = ? where channel = ? and outcome = 'waiting' and next_at > ?",
            (at, channel, at),
        )


def drop_delivery(store: Store, notice: int, channel: str) -> None:
    """Take a delivery out of the outbox without sending it; the notice keeps its number."""
    with store.writing() as conn:
        conn.execute("delete from deliveries where notice = ? and channel = ?", (notice, channel))
