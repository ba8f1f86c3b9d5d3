"""The notices of the demo's week besides the worklists, one by one, with who needed each: a table that is made again.

    python -m tests.whole.demo.notice_table [--farm DIR]

DIR is a folder that `sentinel demo --keep DIR` left; without it the demo is played first. Whether somebody needed a
notice is not asked of sentinel: a trouble must have been planted (`truth.json`), it must have been news to that person,
and what rang must have had nobody at it yet.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from sentinel.demo.afterwards import read_messages
from sentinel.demo.phone import Message
from sentinel.edges.settings import STORE_NAME, shipped
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import notice_with
from sentinel.flow.language import shown_time
from sentinel.flow.model import Alert, Entry, Notice

ZONE = "Europe/Dublin"
LISTS = ("worklist", "herd-week")
RINGS = ("alert", "handed-on", "lies-with", "reminder", "digest", "still")
SAID = ("answer", "put-off", "handed", "chore")


@dataclass(frozen=True, slots=True)
class Row:
    """One notice: when, to whom, whether it rang, its title, the planted trouble, and why it was needed or was not."""

    at: int
    to: str
    rang: bool
    title: str
    planted: str
    needed: bool
    why: str


def rows_of(farm: Path) -> list[Row]:
    """Every notice that reached a phone in the week, besides the lists, in order."""
    store = Store(farm / STORE_NAME)
    try:
        sent = [(one, notice_with(store, int(one.notice))) for one in read_messages(farm)]
        alerts = {alert.id: alert for alert in all_alerts(store)}
        said = [one.entry for kind in SAID for one in log_entries(store, kind=kind)]
    finally:
        store.close()
    planted = json.loads((shipped("demo_feeds") / "truth.json").read_text(encoding="utf-8"))["items"]
    return judged([(one, notice) for one, notice in sent if notice is not None], alerts, said, planted)


def judged(
    sent: Sequence[tuple[Message, Notice]],
    alerts: Mapping[int, Alert],
    said: Sequence[Entry],
    planted: Sequence[Mapping[str, Any]],
) -> list[Row]:
    """What reached a phone, besides the lists, each against what came before it, was said, and was planted."""
    told = [(message, notice) for message, notice in sent if notice.kind not in LISTS]
    return [
        _row(message, notice, [one for _, one in told[:n]], alerts, said, planted)
        for n, (message, notice) in enumerate(told)
    ]


def _row(
    message: Message,
    notice: Notice,
    before: Sequence[Notice],
    alerts: Mapping[int, Alert],
    said: Sequence[Entry],
    planted: Sequence[Mapping[str, Any]],
) -> Row:
    """One notice against what came before it and what was said of its trouble."""
    about = [alerts[number] for number in notice.alerts]
    incident = {alert.incident or alert.id for alert in about}
    members = {alert.id for alert in alerts.values() if (alert.incident or alert.id) in incident}
    kind = next((str(item["kind"]) for alert in about for item in planted if _tells_of(alert, item)), "")
    told = [one for one in before if one.person == notice.person and one.kind in RINGS and members & {*one.alerts}]
    answers = sorted((one for one in said if one.alert in members), key=lambda one: one.at)
    had = next((one for one in answers if one.at <= message.at), None)
    did = next((one for one in answers if one.at > message.at and one.person == notice.person), None)
    rang = notice.kind in RINGS
    if not kind:
        needed, why = False, "nothing was wrong"
    elif rang and had is not None:
        needed, why = False, f"{had.person} had it already"
    elif rang and told and notice.kind != "reminder":
        needed, why = False, f"{notice.person} had been told"
    elif rang:
        then = next((one for one in answers if one.at > message.at), None)
        needed, why = did is not None or then is not None, _followed(notice, did, then, message.at)
    else:
        needed = bool(told)
        why = f"{notice.person} had been told, and hears how it ended" if told else f"{notice.person} never was told"
    return Row(message.at, message.to, rang, message.title, kind, needed, why)


def _tells_of(alert: Alert, item: Mapping[str, Any]) -> bool:
    """Whether an alert is about a planted trouble: by one of its rules, on its subject, raised while it was there."""
    begins, ends = (None if item[key] is None else _moment(item[key]) for key in ("from", "until"))
    assert begins is not None
    return (
        alert.rule in item["rules"]
        and item["subject"] in (alert.subject, alert.subject.partition("/")[0])
        and item["figures"].get("how") != "by itself"
        and begins <= alert.raised_at
        and (ends is None or alert.since <= ends)
    )


def _moment(text: str) -> int:
    return int(datetime.fromisoformat(text).timestamp())


def _followed(notice: Notice, did: Entry | None, then: Entry | None, at: int) -> str:
    """What came of a ring: what the person did, or that nobody had answered who was told before."""
    if did is not None:
        what = did.body.get("finding") or ("put off" if did.kind == "put-off" else did.kind)
        if did.kind == "answer" and not did.body.get("finding"):
            what = "seen, will look"
        return f"{did.person} answered after {(did.at - at) // 60} min: {what}"
    if then is not None:
        return f"nobody had answered; {then.person} did {(then.at - at) // 60} min later"
    return "nobody did anything"


def table(rows: Sequence[Row]) -> str:
    """The table as Markdown, and its sum."""
    lines = ["| when | to | | notice | planted | needed |", "| --- | --- | --- | --- | --- | --- |"]
    for row in rows:
        when, how = shown_time(row.at, rows[-1].at, ZONE), "rings" if row.rang else "silent"
        needed = f"{'yes' if row.needed else '**no**'}: {row.why}"
        lines.append(f"| {when} | {row.to} | {how} | {row.title} | {row.planted or '-'} | {needed} |")
    unneeded = sum(not row.needed for row in rows)
    rang = sum(row.rang for row in rows)
    return "\n".join([*lines, "", f"{len(rows)} notices besides the lists, {rang} of them rang; {unneeded} unneeded."])


def main(line: list[str]) -> None:
    """Play the demo if need be, and print the table."""
    asked = argparse.ArgumentParser(prog="notice_table")
    asked.add_argument("--farm", type=Path)
    left = asked.parse_args(line).farm
    with tempfile.TemporaryDirectory() as place:
        if left is None:
            left = Path(place) / "farm"
            command = [sys.executable, "-m", "sentinel", "demo", "--fast", "--keep", str(left)]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        sys.stdout.write(f"{table(rows_of(left))}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
