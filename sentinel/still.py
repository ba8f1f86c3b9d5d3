"""What a channel owes when it works again: of all that was given up on it only what still stands unanswered.

When a notice that tells of an alert is given up, one outbox line of the kind `still` is kept for its channel. Its text
is made anew at each try; it is tried as long as anything stands that the channel never told, and never given up.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from sentinel.edges.postman import BACKOFF_S
from sentinel.engine import Engine
from sentinel.flow.decide import notice_entry
from sentinel.flow.model import Alert, Entry, Notice
from sentinel.flow.notices.still import STILL, presses_still, still_notice
from sentinel.flow.notices.wants import TELLING
from sentinel.flow.reasons import Reason
from sentinel.outcomes import PATIENCE_S, Tried

LATER_S = 60
"""What waits for a letter that is under way is asked again after so many seconds."""

SETTLED_S = 600
"""A notice that its channel did not take for so long is not sent any more if all it tells of is settled: our choice."""

_MARKS = ", ".join("?" * len(TELLING))


@dataclass(frozen=True, slots=True)
class Line:
    """One outbox line as it is sent now."""

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

    def made(self, at: int) -> Notice | None:
        """The notice as it was sent at `at`, if its words were made for that."""
        number = str(self.notice)
        made = Notice(at, self.person, self.kind, self.title, self.body, self.urgency, self.alerts, number)
        return made if self.kind == STILL else None


class Still:
    """The outbox lines of an engine's store: what is sent for each, and what a try of one leads to."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._store = engine.store

    def line_of(self, row: Any, at: int) -> Line | None:
        """What to send for a due outbox line; None if there is nothing to send now."""
        names = ("notice", "channel", "attempts", "at", "person", "kind", "title", "body", "urgency")
        line = Line(**{name: row[name] for name in names}, alerts=tuple(json.loads(row["alerts"])))
        if line.kind == "over" and self._never_told(line):
            self._drop(line, [Entry(at, "gave-up", body=_body(line, Reason("over-never-told")))])
            return None
        if line.kind in TELLING and line.kind != STILL and self._settled(line, at):
            detail = Reason("settled")
            entry = Entry(at, "gave-up", body=_body(line, detail))
            self._give_up(Tried(line.notice, line.channel, at, "gave_up", detail, None, (entry,)))
            return None
        return self._composed(line, at) if line.kind == STILL else line

    def after(self, tried: Tried) -> None:
        """What follows a try, in its transaction: a channel that works is used at once, one given up owes something."""
        if tried.told is not None:
            told = tried.told
            values = (told.at, told.title, told.body, json.dumps(list(told.alerts)), tried.notice)
            self._store.conn.execute("update notices set at = ?, title = ?, body = ?, alerts = ? where id = ?", values)
            self._store.append([notice_entry(told)])
        if tried.outcome == "delivered":
            self._store.conn.execute(
                "update deliveries set next_at = ? where channel = ? and outcome = 'waiting' and next_at > ?",
                (tried.at, tried.channel, tried.at),
            )
        elif tried.outcome == "gave_up":
            [given] = self._store.rows("select person, kind from notices where id = ?", (tried.notice,))
            if given["kind"] in TELLING and not self._waits(given["person"], tried.channel):
                notice = Notice(tried.at, given["person"], STILL, "", "", "now")
                [kept] = self._store.put_notices([notice], {given["person"]: (tried.channel,)})
                self._again(int(kept.id), tried.channel, tried.at + BACKOFF_S[-1], len(BACKOFF_S))

    def _composed(self, line: Line, at: int) -> Line | None:
        """A `still` line with what is owed now; put off or taken out if nothing is."""
        setup = self._engine.setup
        person = next((one for one in setup.people if one.name == line.person), None)
        owed = self._owed(line, at)
        if person is None or line.channel not in person.channels or not owed:
            self._drop(line, ())
            return None
        now = [alert for alert, _, elsewhere in owed if not elsewhere]
        may = person.now.next_on(at, setup.farm.zone)
        if not now or may != at:
            self._again(line.notice, line.channel, at + LATER_S if may is None or may <= at else may, line.attempts)
            return None
        since = min(since for _, since, _ in owed)
        made = still_notice(at, setup.desk(self._engine.words), person, now, since)
        return replace(line, at=at, title=made.title, body=made.body, alerts=made.alerts)

    def _owed(self, line: Line, at: int) -> list[tuple[Alert, int, bool]]:
        """Each alert that presses and that this channel gave up telling since it last told it.

        With when the first notice of it was written that did not arrive, and whether another one is on its way.
        """
        alerts = [
            one for one in self._store.alerts("over_at is null and answered_at is null") if presses_still(one, at)
        ]
        if not alerts:
            return []
        told = self._store.rows(
            "select n.id, n.at, n.alerts, d.outcome from notices n join deliveries d on d.notice = n.id "
            f"where d.channel = ? and n.person = ? and n.at >= ? and n.kind in ({_MARKS}) order by n.id",
            (line.channel, line.person, min(one.raised_at for one in alerts), *TELLING),
        )
        names = [
            (row["at"], set(json.loads(row["alerts"])), row["outcome"]) for row in told if row["id"] != line.notice
        ]
        found = []
        for alert in alerts:
            mine = [(written, outcome) for written, about, outcome in names if alert.id in about]
            arrived = max((n for n, (_, outcome) in enumerate(mine) if outcome == "delivered"), default=-1)
            lost = [written for written, outcome in mine[arrived + 1 :] if outcome == "gave_up"]
            if lost:
                found.append((alert, lost[0], any(outcome == "waiting" for _, outcome in mine)))
        return found

    def _settled(self, line: Line, at: int) -> bool:
        """Whether a channel did not take it for so long that all it tells of is over or answered: it need not ring."""
        if not (line.attempts and line.alerts) or at - line.at < SETTLED_S:
            return False
        marks = ", ".join("?" * len(line.alerts))
        return not any(one.standing and not one.answered for one in self._store.alerts(f"id in ({marks})", line.alerts))

    def _never_told(self, line: Line) -> bool:
        """Whether its channel gave up every notice of what a line says is over: there is nothing to take back."""
        outcomes: set[str] = set()
        for row in self._store.rows(
            "select n.alerts, d.outcome from notices n join deliveries d on d.notice = n.id "
            f"where n.person = ? and d.channel = ? and n.id < ? and n.kind in ({_MARKS})",
            (line.person, line.channel, line.notice, *TELLING),
        ):
            if set(json.loads(row["alerts"])) & set(line.alerts):
                outcomes.add(row["outcome"])
        return outcomes == {"gave_up"}

    def _waits(self, person: str, channel: str) -> bool:
        """Whether a person's channel has a `still` line already."""
        asked = (
            "select 1 from deliveries d join notices n on n.id = d.notice "
            "where n.person = ? and d.channel = ? and d.outcome = 'waiting' and n.kind = ?"
        )
        return bool(self._store.rows(asked, (person, channel, STILL)))

    def _give_up(self, tried: Tried) -> None:
        """Give up a line without sending it; what it tells of is owed again if it comes back."""
        with self._store.writing(PATIENCE_S):
            self._store.letter_tried(
                tried.notice, tried.channel, tried.at, tried.outcome, tried.detail, None, tried.entries
            )
            self.after(tried)

    def _again(self, notice: int, channel: str, at: int, attempts: int) -> None:
        with self._store.writing(PATIENCE_S) as conn:
            conn.execute(
                "update deliveries set next_at = ?, attempts = max(?, 1) where notice = ? and channel = ?",
                (at, attempts, notice, channel),
            )

    def _drop(self, line: Line, entries: Iterable[Entry]) -> None:
        """Take a line out of the outbox without sending it; the notice keeps its number."""
        with self._store.writing(PATIENCE_S) as conn:
            conn.execute("delete from deliveries where notice = ? and channel = ?", (line.notice, line.channel))
            self._store.append(entries)


def _body(line: Line, detail: Reason) -> dict[str, object]:
    return {"notice": str(line.notice), "channel": line.channel, "attempts": line.attempts, "detail": str(detail)}
