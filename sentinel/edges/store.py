"""The store: one SQLite file (WAL), one writer at a time, every write inside `writing()`.

Reads and writes go through one connection behind a lock, so that any thread may use it; other processes write
under SQLite's own lock. `sqlite-utils` opens, migrates and names; the hot paths use its connection directly.
"""

from __future__ import annotations

import json
import sqlite3
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import astuple, fields, replace
from pathlib import Path
from typing import Any

import pandas as pd

from sentinel.edges.columns import alert_of, frame_of
from sentinel.edges.private import make_private
from sentinel.edges.whole import Whole
from sentinel.edges.write_lock import WAIT_S, write_lock
from sentinel.flow.chain import START, Logged, chained
from sentinel.flow.model import HOUR_S, Alert, Answer, Chore, Delivery, Entry, Notice
from sentinel.flow.reasons import Reason, from_json, to_json
from sentinel.flow.tables import OWN, Table


class Store:
    """A farm's store. Opening it brings its schema up to date. `undone` counts the transactions that were given up.

    `whole` knows what was found damaged. Raises DamagedError if the file is no whole store, StoreError if it cannot be
    opened, or was written by a newer sentinel.
    """

    def __init__(self, path: Path | None) -> None:
        """Open the store at `path`, or one in memory for None."""
        self.path = path
        self.undone = 0
        self.whole = Whole(path)
        self._lock = threading.RLock()
        self.db = self.whole.opened()
        self.conn: sqlite3.Connection = self.db.conn

    def close(self) -> None:
        """Close the file; what was written stays."""
        with self._lock:
            self.conn.close()

    @contextmanager
    def writing(self, patience_s: float = WAIT_S) -> Iterator[sqlite3.Connection]:
        """One transaction, begun as a writer at once (a deferred one fails when two writers meet); may nest.

        Raises sqlite3.OperationalError if another process writes all through `patience_s`.
        """
        with self._lock:
            if self.conn.in_transaction:
                yield self.conn
                return
        self.whole.raise_if_damaged()
        with write_lock(self.conn, self._lock, patience_s):
            try:
                yield self.conn
                self.conn.commit()
            except BaseException as error:
                self.whole.note(error)
                self.undone += 1
                self.conn.rollback()
                raise

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[sqlite3.Row]:
        """All rows of a query."""
        with self._lock:
            try:
                return self.conn.execute(sql, values).fetchall()
            except sqlite3.Error as error:
                self.whole.note(error)
                raise

    def changed_elsewhere(self) -> int:
        """A number that changes when another process has written."""
        return int(self.rows("pragma data_version")[0][0])

    # --- measured rows ---------------------------------------------------------------------------------

    def frame(self, table: Table, where: str = "1", values: Sequence[Any] = ()) -> pd.DataFrame:
        """The table's rows as a frame with its declared types, in order of time, then key; withdrawn ones left out."""
        alive = "" if table in OWN else "and deleted = 0"
        with self._lock:
            return frame_of(self.conn, table, f"{where} {alive}", values)

    def count(self, table: Table, begin: int) -> int:
        """How many rows a table has from a moment on, withdrawn ones too."""
        return int(self.rows(f'select count(*) from "{table.name}" where "{table.happened}" >= ?', (begin,))[0][0])

    def feed_state(self) -> dict[str, tuple[tuple[str, ...], int | None]]:
        """Each feed that has given something: the tables it has filled and its known-until."""
        rows = self.rows("select feed, tables, known_until from feeds order by feed")
        return {r["feed"]: (tuple(json.loads(r["tables"])), r["known_until"]) for r in rows}

    # --- what people said --------------------------------------------------------------------------------

    def put_answer(self, answer: Answer) -> None:
        """Keep an answer until the next tick takes it."""
        with self.writing() as conn:
            conn.execute(
                "insert into answers (alert, at, person, finding, note, until, hand_to) values (?, ?, ?, ?, ?, ?, ?)",
                astuple(answer),
            )

    def put_chore(self, chore: Chore) -> None:
        """Keep a chore until the next tick takes it."""
        with self.writing() as conn:
            conn.execute("insert into chores (chore, place, at, person, note) values (?, ?, ?, ?, ?)", astuple(chore))

    def put_delivery(self, delivery: Delivery) -> None:
        """Keep how a notice of another store ended, until the next tick takes it: for the past told again."""
        with self.writing() as conn:
            conn.execute(
                "insert or ignore into notices (id, at, person, kind, title, body, urgency, alerts) "
                "values (?, ?, '', '', '', '', 'log', '[]')",
                (int(delivery.notice), delivery.at),
            )
            conn.execute(
                "insert or replace into deliveries (notice, channel, at, outcome, detail, attempts) "
                "values (?, ?, ?, ?, ?, 1)",
                (delivery.notice, delivery.channel, delivery.at, delivery.outcome, to_json(delivery.detail)),
            )

    def waiting_inputs(self) -> tuple[tuple[Answer, ...], tuple[Chore, ...], tuple[Delivery, ...]]:
        """What people said and how deliveries ended since the last tick, oldest first."""
        return self.inputs_known_at(None)

    def inputs_known_at(self, at: int | None) -> tuple[tuple[Answer, ...], tuple[Chore, ...], tuple[Delivery, ...]]:
        """The same, of the tick at `at`, as they came; None for those that no tick has taken yet."""
        answers = self.rows(
            "select alert, at, person, finding, note, until, hand_to from answers where known_at is ? order by id",
            (at,),
        )
        was = "coalesce((select was from put_back where tab = '{}' and key = {} and name = 'at'), at) as at"
        done_at, ended_at = (
            was.format("chores", "cast(id as text)"),
            was.format("deliveries", "notice || ' ' || channel"),
        )
        chores = self.rows(
            f"select chore, place, {done_at}, person, note from chores where known_at is ? order by id", (at,)
        )
        ended = self.rows(
            f"select notice, channel, {ended_at}, outcome, detail from deliveries where known_at is ? "
            "and outcome <> 'waiting' order by at, notice, channel",
            (at,),
        )
        return (
            tuple(Answer(*r) for r in answers),
            tuple(Chore(*r) for r in chores),
            tuple(Delivery(str(r[0]), r[1], r[2], r[3], from_json(r[4])) for r in ended),
        )

    # --- alerts and the log ------------------------------------------------------------------------------

    def alerts(self, where: str = "1", values: Sequence[Any] = ()) -> list[Alert]:
        """Alerts in order of their number."""
        return [alert_of(r) for r in self.rows(f"select * from alerts where {where} order by id", values)]

    def newest_alerts(self) -> dict[tuple[str, str], Alert]:
        """The newest alert of each rule and subject."""
        newest = self.alerts("id in (select max(id) from alerts group by rule, subject)")
        return {(a.rule, a.subject): a for a in newest}

    def save_alerts(self, alerts: Iterable[Alert]) -> None:
        """Write alerts as they are now."""
        names = [f.name for f in fields(Alert)]
        rows = []
        for alert in alerts:
            told = {name: getattr(alert, name) for name in names}
            told["over_why"] = to_json(alert.over_why)
            told["facts"] = json.dumps(dict(alert.facts), sort_keys=True)
            for name in ("covered_by", "look_first", "caution"):
                told[name] = json.dumps(list(told[name]), ensure_ascii=False)
            rows.append(told)
        marks = ", ".join(f":{name}" for name in names)
        with self.writing() as conn:
            conn.executemany(f"insert or replace into alerts ({', '.join(names)}) values ({marks})", rows)

    def append(self, entries: Iterable[Entry]) -> list[Logged]:
        """Append entries to the log, chained to what stands there."""
        with self.writing() as conn:
            last = conn.execute("select seq, hash from log order by seq desc limit 1").fetchone()
            seq, previous = (last["seq"], last["hash"]) if last else (0, START)
            logged = chained(entries, previous, seq)
            conn.executemany(
                "insert into log (seq, at, kind, alert, rule, subject, person, body, previous, hash) "
                "values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                [
                    (
                        one.seq,
                        one.entry.at,
                        one.entry.kind,
                        one.entry.alert,
                        one.entry.rule,
                        one.entry.subject,
                        one.entry.person,
                        json.dumps(dict(one.entry.body), sort_keys=True, ensure_ascii=False),
                        one.previous,
                        one.hash,
                    )
                    for one in logged
                ],
            )
        return logged

    def log(self, where: str = "1", values: Sequence[Any] = ()) -> list[Logged]:
        """Entries of the log in order."""
        rows = self.rows(f"select * from log where {where} order by seq", values)
        return [
            Logged(
                r["seq"],
                Entry(r["at"], r["kind"], r["alert"], r["rule"], r["subject"], r["person"], json.loads(r["body"])),
                r["previous"],
                r["hash"],
            )
            for r in rows
        ]

    def verify(self) -> tuple[int, str]:
        """Check the log's chain and SQLite's own integrity; the number of entries and the last hash.

        Raises LogChainError at the first entry that does not fit, DamagedError if the file is damaged.
        """
        with self._lock:
            return self.whole.verify(self.conn)

    # --- notices and the outbox --------------------------------------------------------------------------

    def put_notices(self, notices: Iterable[Notice], channels: Mapping[str, Sequence[str]]) -> list[Notice]:
        """Write notices and their outbox lines, one per channel of the person; gives them their ids."""
        given = []
        with self.writing() as conn:
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
                for channel in channels.get(notice.person, ()):
                    conn.execute(
                        "insert into deliveries (notice, channel, outcome, attempts, next_at, detail) "
                        "values (?, ?, 'waiting', 0, ?, '')",
                        (new, channel, notice.at),
                    )
                given.append(replace(notice, id=str(new)))
        return given

    def notices(self, where: str = "1", values: Sequence[Any] = ()) -> list[Notice]:
        """Notices in the order they were written."""
        put_back = "exists (select 1 from put_back where tab = 'notices' and key = cast(id as text)) as put_back"
        rows = self.rows(f"select *, {put_back} from notices where {where} order by id", values)
        return [
            Notice(
                r["at"],
                r["person"],
                r["kind"],
                r["title"],
                r["body"],
                r["urgency"],
                tuple(json.loads(r["alerts"])),
                str(r["id"]),
                bool(r["put_back"]),
            )
            for r in rows
        ]

    def letters_due(self, at: int) -> list[sqlite3.Row]:
        """Outbox lines to try by `at`, and all not tried yet: notice, channel, attempts, and what the notice is."""
        return self.rows(
            "select d.notice, d.channel, d.attempts, n.at, n.person, n.kind, n.title, n.body, n.urgency, n.alerts "
            "from deliveries d join notices n on n.id = d.notice "
            "where d.outcome = 'waiting' and (d.attempts = 0 or d.next_at <= ? or d.next_at > ?) "
            "order by d.notice, d.channel",
            (at, at + HOUR_S),  # so far ahead only a clock that was wrong has put one off
        )

    def next_letter_at(self) -> int | None:
        """When the next outbox line is to be tried."""
        found = self.rows("select min(next_at) from deliveries where outcome = 'waiting'")[0][0]
        return None if found is None else int(found)

    def letter_tried(
        self,
        notice: int,
        channel: str,
        at: int,
        outcome: str,
        detail: Reason | None,
        next_at: int | None,
        entries: Iterable[Entry],
    ) -> None:
        """Note a try of an outbox line: `waiting` (again at `next_at`), `delivered` or `gave_up`; with log entries."""
        with self.writing() as conn:
            conn.execute(
                "update deliveries set outcome = ?, attempts = attempts + 1, next_at = ?, at = ?, detail = ? "
                "where notice = ? and channel = ? and outcome = 'waiting'",
                (outcome, next_at, None if outcome == "waiting" else at, to_json(detail), notice, channel),
            )
            self.append(entries)

    # --- what was read of each file, and by which settings ---------------------------------------------------

    def seen(self) -> list[sqlite3.Row]:
        """What was read of each export: name, size, mtime_ns, inode, read_to, sha256."""
        return self.rows("select name, size, mtime_ns, inode, read_to, sha256 from seen")

    def put_seen(self, row: Sequence[Any]) -> None:
        """Remember what was read of an export (the columns of `seen` in order)."""
        with self.writing() as conn:
            conn.execute("insert or replace into seen values (?, ?, ?, ?, ?, ?)", tuple(row))

    def forget_set_aside(self) -> list[str]:
        """Forget having read the files of which rows are set aside, so that they are read again; their names."""
        with self.writing() as conn:
            unread = "select distinct file from files where mended = 0 and (rows_set_aside > 0 or rows_in_part > 0)"
            names = [r["file"] for r in self.rows(unread)]
            conn.executemany("delete from seen where name = ?", [(name,) for name in names])
        return names

    def set_aside(self) -> list[dict[str, Any]]:
        """What could not be read of files not read clean since, as far as it is kept at length."""
        found = self.rows(
            "select f.feed, f.file, f.at, s.line, s.row, s.reason, s.kept from set_aside s "
            "join files f on f.id = s.file_id where f.mended = 0 and s.reason <> '' order by f.id, s.line"
        )
        return [{**dict(row), "reason": from_json(row["reason"])} for row in found]

    def put_settings(self, at: int, texts: Mapping[str, str]) -> None:
        """Keep the settings' texts as they are from `at` on, unless they are the last ones kept."""
        told = json.dumps(dict(texts), sort_keys=True)
        with self.writing() as conn:
            last = conn.execute("select text from settings order by number desc limit 1").fetchone()
            if last is None or last["text"] != told:
                conn.execute("insert into settings (at, text) values (?, ?)", (at, told))

    def settings(self) -> list[tuple[int, dict[str, str]]]:
        """The settings' texts and from when they were used, oldest first."""
        return [(r["at"], json.loads(r["text"])) for r in self.rows("select at, text from settings order by number")]

    # --- small things --------------------------------------------------------------------------------------

    def meta(self, key: str) -> str | None:
        """A remembered word."""
        found = self.rows("select value from meta where key = ?", (key,))
        return found[0][0] if found else None

    def put_meta(self, key: str, value: str) -> None:
        """Remember a word."""
        with self.writing() as conn:
            conn.execute("insert or replace into meta (key, value) values (?, ?)", (key, value))

    def last_tick(self) -> int | None:
        """The moment of the last tick that changed something."""
        found = self.rows("select at from ticks order by number desc limit 1")
        return int(found[0]["at"]) if found else None

    def last_known(self) -> int | None:
        """The last moment at which anything became known: a tick, or an export that was read and not yet decided on."""
        since = self.rows("select coalesce(max(files_to), 0) from ticks where number = (select max(number) from ticks)")
        read = self.rows("select at from files where id > ? order by id desc limit 1", (since[0][0],))
        return max((at for at in (self.last_tick(), *(row["at"] for row in read)) if at is not None), default=None)

    def backup(self, target: Path) -> None:
        """A whole copy of the store, taken while it is in use; one file, its owner's alone, with nothing beside it."""
        with closing(sqlite3.connect(make_private(target))) as copy, self._lock, copy:
            self.conn.backup(copy)
            copy.execute("pragma journal_mode = delete")
