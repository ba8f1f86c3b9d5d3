"""What each feed and its files have given: known-until, moments, what was read of a file, what was set aside."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from sentinel.edges.store.database import Store, fetch
from sentinel.edges.store.exports.provenance import NOBODY
from sentinel.flow.decide import AHEAD_S, LATER
from sentinel.flow.evaluation.feed_files import FileCame
from sentinel.flow.model import DAY_S
from sentinel.flow.reasons import from_json, to_json
from sentinel.flow.tables import VISITS, Table

FILES_REACH_S = 35 * DAY_S
"""Of what files showed before that nothing is told any more."""


class SeenFile(NamedTuple):
    """What was read of an export: up to which byte, of a file of which size, stamp, inode and hash."""

    name: str
    size: int
    mtime_ns: int
    inode: int
    read_to: int
    sha256: str


def feed_state(store: Store) -> dict[str, tuple[tuple[str, ...], int | None]]:
    """Each feed that has given something: the tables it has filled and its known-until."""
    rows = fetch(store, "select feed, tables, known_until from feeds order by feed")
    return {row["feed"]: (tuple(json.loads(row["tables"])), row["known_until"]) for row in rows}


def files_since(store: Store, number: int) -> list[tuple[int, str, int, int]]:
    """The files that were read after that number and still count: number, feed, when it came, until when it tells."""
    told = "max(coalesce(newest, complete_until), coalesce(complete_until, newest))"
    sql = f"select id, feed, at, {told} from files where id > ? and void = 0 and {told} is not null order by id"
    return [tuple(row) for row in fetch(store, sql, (number,))]


def files_of_visits_since(store: Store, number: int, tells_s: int) -> list[tuple[int, str, FileCame]]:
    """The files read after that number of feeds that tell of visits, with the boxes of the visits each told first.

    Only visits of the last `tells_s` before a file came are counted, and at the first time only those of the weeks
    before the newest: what each is told by stands in no index.
    """
    of_visits = [feed for feed, (tables, _) in feed_state(store).items() if VISITS.name in tables]
    told = "max(coalesce(newest, complete_until), coalesce(complete_until, newest))"
    marks = ", ".join("?" * len(of_visits))
    files = fetch(
        store,
        f"select id, feed, file, at, {told} as told, newest is null and rows_set_aside = 0 as empty from files "
        f"where id > ? and void = 0 and reread = '' and feed in ({marks}) order by id",
        (number, *of_visits),
    )
    if not files:
        return []
    since = max(min(row["at"] for row in files) - tells_s, files[-1]["at"] - FILES_REACH_S)
    boxes: dict[int, dict[str, tuple[int, int]]] = {}
    sql = (
        "select v.first_file, v.box, max(v.start), count(*) from visits v join files f on f.id = v.first_file "
        "where v.start >= ? and v.first_file > ? and v.start >= f.at - ? and v.box is not null group by 1, 2"
    )
    for file, box, newest, visits in fetch(store, sql, (since, number, tells_s)):
        boxes.setdefault(file, {})[box] = (newest, visits)
    return [
        (
            row["id"],
            row["feed"],
            FileCame(row["at"], row["file"], row["told"], bool(row["empty"]), boxes.get(row["id"], {})),
        )
        for row in files
    ]


def newest_file(store: Store, feed: str) -> str | None:
    """The name of the file of a feed that was read last."""
    rows = fetch(store, "select file from files where feed = ? order by id desc limit 1", (feed,))
    return rows[0]["file"] if rows else None


def stamps_by_feed(store: Store, until: int) -> dict[str, set[int]]:
    """Per feed the moments up to which its files promised to be complete, none later than `until`."""
    sql = "select feed, complete_until from files where void = 0 and complete_until <= ?"
    return _by_feed(fetch(store, sql, (until,)))


def newest_by_feed(store: Store, until: int) -> dict[str, set[int]]:
    """Per feed the moments of the newest row of each of its files, none later than `until`."""
    return _by_feed(fetch(store, "select feed, newest from files where void = 0 and newest <= ?", (until,)))


def row_moments_by_feed(store: Store, tables: Iterable[Table]) -> dict[str, set[int]]:
    """Per feed the moments of the rows that it told, whichever feed told them first."""
    together: dict[int, set[str]] = {}
    for number, feed in fetch(store, "select id, feed from tellers"):
        together.setdefault(number, set()).add(feed)
    moments: dict[str, set[int]] = {}
    for table in tables:
        came = f'f.feed, t.told_by, t."{table.happened}"'
        sql = f'select distinct {came} from "{table.name}" t join files f on f.id = t.first_file'
        for first, number, moment in fetch(store, sql):
            for feed in together.get(number, () if number == NOBODY else (first,)):
                moments.setdefault(feed, set()).add(moment)
    return moments


def _by_feed(rows: Iterable[Sequence[Any]]) -> dict[str, set[int]]:
    moments: dict[str, set[int]] = {}
    for feed, moment in rows:
        moments.setdefault(feed, set()).add(moment)
    return moments


def seen_files(store: Store) -> list[SeenFile]:
    """What was read of each export."""
    return [SeenFile(*row) for row in fetch(store, "select name, size, mtime_ns, inode, read_to, sha256 from seen")]


def put_seen(store: Store, row: Sequence[Any]) -> None:
    """Remember what was read of an export (the fields of `SeenFile` in order)."""
    with store.writing() as conn:
        conn.execute("insert or replace into seen values (?, ?, ?, ?, ?, ?)", tuple(row))


def forget_set_aside(store: Store) -> list[str]:
    """Forget having read the files of which rows are set aside, so that they are read again; their names."""
    with store.writing() as conn:
        unread = "select distinct file from files where mended = 0 and (rows_set_aside > 0 or rows_in_part > 0)"
        names = [row["file"] for row in conn.execute(unread)]
        conn.executemany("delete from seen where name = ?", [(name,) for name in names])
    return names


def rows_set_aside(store: Store) -> list[dict[str, Any]]:
    """What could not be read of files not read clean since, as far as it is kept at length: feed, file, at, line, row,
    reason, kept."""
    rows = fetch(
        store,
        "select f.feed, f.file, f.at, s.line, s.row, s.reason, s.kept from set_aside s "
        "join files f on f.id = s.file_id where f.mended = 0 and s.reason <> '' order by f.id, s.line",
    )
    return [{**dict(row), "reason": from_json(row["reason"])} for row in rows]


def forget_later(store: Store, at: int) -> list[str]:
    """Forget having read files of which rows were dated later than their arrival and are not later than `at`; names.

    They are read again by the next look, and with that what was set aside of them is mended.
    """
    with store.writing() as conn:
        names = [
            row["file"]
            for row in conn.execute(
                "select distinct f.file from files f join set_aside s on s.file_id = f.id "
                "join seen on seen.name = f.file "
                "where f.mended = 0 and f.rows_set_aside > 0 and s.reason = ? and s.begins <= ? order by f.file",
                (to_json(LATER), at + AHEAD_S),
            )
        ]
        conn.executemany("delete from seen where name = ?", [(name,) for name in names])
    return names
