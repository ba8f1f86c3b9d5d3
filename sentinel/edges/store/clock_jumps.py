"""The store after the clock was put ahead or back: what is later than now happened by now.

What is put back is remembered as it was (`put_back`): the past is told again with it, and a jump ahead that is as large
as the one back, of a clock that had lost its time for a while, undoes it.
"""

from __future__ import annotations

import sqlite3

from sentinel.edges.store import Store
from sentinel.flow.decide import AHEAD_S
from sentinel.flow.model import TickKind

MOMENTS = (
    ("alerts", "id", ("raised_at", "came_at", "over_at", "answered_at")),
    ("notices", "id", ("at",)),
    ("chores", "id", ("at",)),
    ("deliveries", "notice || ' ' || channel", ("at",)),
    ("shut_out", "person", ("at",)),
)
"""The moments that decisions compare with now: table, what tells its rows apart, columns. The log is never changed."""


def follow(store: Store, at: int, by_s: int) -> None:
    """Bring the store to a clock that shows `at` after a jump of `by_s` seconds (negative: it was put back)."""
    with store.writing() as conn:
        if by_s > 0:
            _undo(conn, at, by_s)
            _watched_later(conn, at, by_s)
        for table, key, names in MOMENTS:
            for name in names:
                _put_back(conn, table, key, name, at)
        _put_back(conn, "meta", "key", "value", at, "key = 'watched_since'")
        _lie_sooner(conn, at)
        _know_less(conn, at)
        conn.execute("update deliveries set next_at = ? where outcome = 'waiting'", (at,))


def chores_by_now(store: Store, at: int) -> None:
    """Take chores that somebody's clock dated later than the tick at which they are known to have been done by then."""
    with store.writing() as conn:
        _put_back(conn, "chores", "id", "at", at)


def _put_back(conn: sqlite3.Connection, table: str, key: str, name: str, at: int, where: str = "1") -> None:
    """Put a column's moments that are later than `at` back to it, and remember what they first were."""
    later = f"{where} and cast({name} as integer) > ?"
    conn.execute(
        "insert into put_back (tab, key, name, was, became) "
        f"select '{table}', cast({key} as text), '{name}', cast({name} as integer), ? from {table} where {later} "
        "on conflict do update set became = excluded.became",
        (at, at),
    )
    conn.execute(f"update {table} set {name} = ? where {later}", (at, at))


def _undo(conn: sqlite3.Connection, at: int, by_s: int) -> None:
    """What a clock that stood behind had put back is again as it was, unless it has changed since."""
    undone = "was <= ? and was - became <= ?"
    for row in conn.execute(f"select distinct tab, name from put_back where {undone}", (at, by_s)).fetchall():
        table, name = row["tab"], row["name"]
        key = next((key for one, key, _ in MOMENTS if one == table), "key")
        same = f"p.tab = '{table}' and p.name = '{name}' and p.key = cast({table}.{key} as text)"
        if table == "deliveries":
            same = f"p.tab = '{table}' and p.name = '{name}' and p.key = {key}"
        source = f"from put_back p where {same} and {undone} and p.became = cast({table}.{name} as integer)"
        conn.execute(
            f"update {table} set {name} = (select was {source}) where exists (select 1 {source})", (at, by_s, at, by_s)
        )
    conn.execute(f"delete from put_back where {undone}", (at, by_s))


def _watched_later(conn: sqlite3.Connection, at: int, by_s: int) -> None:
    """A watch that began with a clock that was behind began later: what was old then is no news."""
    starts, jumps = conn.execute(
        "select count(*) filter (where kind = ?), count(*) filter (where jumped_s < 0) from ticks", (TickKind.START,)
    ).fetchone()
    if starts == 1 and not jumps:
        conn.execute(
            "update meta set value = min(?, cast(value as integer) + ?) where key = 'watched_since'", (at, by_s)
        )


def _lie_sooner(conn: sqlite3.Connection, at: int) -> None:
    """An alert put off while the clock stood ahead is put off for as long, counted from now."""
    for number, lies_from in conn.execute("select id, lies_from from alerts where lies_from > ?", (at,)).fetchall():
        given, until = conn.execute(
            "select at, until from answers where alert = ? and (until is not null or hand_to <> '') "
            "order by id desc limit 1",
            (number,),
        ).fetchone() or (at, lies_from)
        if given <= at and until is not None:
            continue
        sooner = at if until is None else min(lies_from, at + max(0, until - given))
        conn.execute("update alerts set lies_from = ? where id = ?", (sooner, number))


def _know_less(conn: sqlite3.Connection, at: int) -> None:
    """No feed is known further than now: each up to the newest that its files gave by then."""
    limit = at + AHEAD_S
    known = conn.execute(
        "select feed, max(case when newest <= ? then newest end), "
        "max(case when complete_until <= ? then complete_until end) from files where void = 0 group by feed",
        (limit, limit),
    ).fetchall()
    for feed, newest, complete in known:
        until = max((moment for moment in (newest, complete) if moment is not None), default=None)
        conn.execute("update feeds set known_until = ? where feed = ?", (until, feed))
