"""What page and terminal both show: alerts, the log and rows set aside, as plain words and figures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.alerts.listed import to_look_at
from sentinel.flow.language import Words, english, shown_time, told
from sentinel.flow.model import Alert, Entry
from sentinel.flow.reasons import Reason, in_words
from sentinel.flow.rules.quantities import format_quantity
from sentinel.flow.subjects import subject_words, walk_order
from sentinel.flow.tuning.edit import changes_in
from sentinel.flow.views.parts.kept_words import kept_words


def rfc3339(moment: int) -> str:
    """A moment for programs, in UTC.

    >>> rfc3339(1_800_000_000)
    '2027-01-15T08:00:00Z'
    """
    return datetime.fromtimestamp(moment, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def by_walk(alerts: Iterable[Alert]) -> list[Alert]:
    """Alerts in the order a person walks, the most pressing first at each place."""

    def key(alert: Alert) -> tuple[int, int, int, int]:
        return alert.urgency != "now", walk_order(alert.subject), alert.since, alert.id

    return sorted(alerts, key=key)


def alert_record(alert: Alert) -> dict[str, Any]:
    """An alert for programs; `cows` are those that it lists, where it is about several."""
    return {
        "id": alert.id,
        "rule": alert.rule,
        "subject": alert.subject,
        "raised_at": rfc3339(alert.raised_at),
        "since": rfc3339(alert.since),
        "over_at": None if alert.over_at is None else rfc3339(alert.over_at),
        "urgency": alert.urgency,
        "value": alert.value,
        "text": alert.text,
        "answered_by": alert.answered_by or None,
        "answered_at": None if alert.answered_at is None else rfc3339(alert.answered_at),
        "finding": alert.finding or None,
        "note": alert.note or None,
        "incident": alert.incident or alert.id,
        "held_back_by": list(alert.covered_by),
        "raised_value": alert.raised_value,
        "worst_value": alert.worst_value,
        "eased": bool(alert.eased),
        "cows": [one["cow"] for one in to_look_at(alert.facts)],
    }


def answer_words(alert: Alert, at: int, zone: str) -> str:
    """Who answered an alert, when, and what they found."""
    if alert.answered_at is None:
        return f"held back: {alert.covered_by[0]}" if alert.covered_by else ""
    finding = f": {alert.finding}" if alert.finding else ""
    note = f" ({alert.note})" if alert.note else ""
    return f"{alert.answered_by} {shown_time(alert.answered_at, at, zone)}{finding}{note}"


HISTORY_COLUMNS = ("number", "time", "kind", "alert", "rule", "subject", "person", "what")


def history_record(logged: Logged) -> dict[str, Any]:
    """An entry of the log for programs, with its place in the chain."""
    entry = logged.entry
    return {
        "number": logged.seq,
        "at": rfc3339(entry.at),
        "kind": entry.kind,
        "alert": entry.alert,
        "rule": entry.rule or None,
        "subject": entry.subject or None,
        "person": entry.person or None,
        "body": dict(entry.body),
        "hash": logged.hash,
    }


def history_row(logged: Logged, zone: str, at: int | None) -> tuple[str, ...]:
    """An entry of the log for people: one text per column of `HISTORY_COLUMNS`.

    The time is told as seen from `at`; with None it is written out whole, as a spreadsheet needs it.
    """
    entry = logged.entry
    if at is None:
        time = datetime.fromtimestamp(entry.at, UTC).astimezone(ZoneInfo(zone)).isoformat(" ", "seconds")
    else:
        time = shown_time(entry.at, at, zone)
    return (
        str(logged.seq),
        time,
        entry.kind,
        "" if entry.alert is None else str(entry.alert),
        entry.rule,
        "" if not entry.subject else subject_words(entry.subject),
        entry.person,
        what_words(entry, english(zone)),
    )


def what_words(entry: Entry, words: Words, reason: Reason | None = None) -> str:  # noqa: PLR0912, PLR0915  (one case per kind of entry)
    """What an entry says, in words; times in it are on the farm's clock, as seen when it was made.

    `reason`: why something was set aside or given up, as far as it is known besides the entry's own English.
    Rules that were changed and what could not be decided are said as the log keeps them.
    """
    kind, body = entry.kind, entry.body
    because = f" ({told(words, 'because {why}', why=body['because'])})" if body.get("because") else ""
    match kind:
        case "raised" | "again":
            text = str(body.get("text", ""))
        case "more-pressing" if body.get("urgency") == "now":
            text = words.say("it can no longer wait for the round")
        case "more-pressing":
            text = words.say("for the next round")
        case "over" if body.get("read_again"):
            text = in_words(Reason("read-again", because=body["read_again"]), words)
        case "over":
            text = words.say(str(body.get("why", "")))
        case "answer":
            finding = words.say(str(body["finding"])) if body.get("finding") else ""
            text = "; ".join(str(one) for one in (finding, body.get("note")) if one) or words.say("seen")
        case "put-off":
            until = words.say("until later")
            if body.get("until"):
                until = told(words, "until {when}", when=words.time(body["until"], entry.at))
            text = "; ".join(filter(None, [until, body.get("note")]))
        case "handed":
            text = "; ".join([told(words, "to {person}", person=body.get("to")), *filter(None, [body.get("note")])])
        case "photo":
            text = told(words, "picture {file}", file=body.get("file", "")).strip()
        case "chore":
            text = str(body.get("note") or words.say("done"))
        case "chore-undone":
            when = words.time(body["done_at"], entry.at) if "done_at" in body else ""
            text = told(words, "not done at {when}, as {person} had recorded", when=when, person=body.get("done_by"))
            text = "; ".join(filter(None, [text, body.get("note")]))
        case "notice" | "reminder":
            told_of = {"title": body.get("title"), "number": body.get("notice")}
            told_of["kind"] = words.say(str(body.get("kind")))
            text = told(words, "{kind}: {title} (notice {number})", **told_of)
        case "delivered" | "gave-up":
            sent = {"number": body.get("notice"), "channel": body.get("channel"), "n": body.get("attempts")}
            text = told(words, "notice {number} to {channel}, try {n}", **sent)
            text += f": {_why(body['detail'], words, reason)}" if body.get("detail") and kind == "gave-up" else ""
        case "held-back":
            text = told(
                words, "by {causes}", causes="; ".join(_cause(one, words) for one in body.get("covered_by", []))
            )
        case "read":
            text = told(words, "{file}: {rows|row|rows}, {new} new, {corrected} corrected", **_named(body))
        case "set-aside":
            named = {**_named(body), "reason": _why(body.get("reason"), words, reason)}
            text = told(words, "{file}: {rows} set aside, line {line}: {reason}", **named)
        case "correction":
            old, new = body.get("old", {}), body.get("new", {})
            changes = ", ".join(
                f"{name} {_cell(old.get(name), words)} → {_cell(value, words)}"
                for name, value in new.items()
                if name != "modified"
            )
            text = f"{body.get('table')}: {changes} ({body.get('file')})"
        case "reread":
            text = _reread_words(body, words)
        case "clock-jump" if body.get("by_s"):
            text = _jump_words(body["by_s"], words)
        case "rules-changed":
            text = "; ".join(body.get("changes", []))
        case "seal" | "bundle" | "name-replaced" | "let-go" | "log-cut":
            text = kept_words(entry, words)
        case "rule-edited" if body.get("key"):
            undone = told(words, " (as it was before)") if body.get("undoes") else ""
            changes = ", ".join(f"{one.key}: {one.before} → {one.after}" for one in changes_in(body))
            text = f"{changes}{undone}; {body.get('why', '')}".rstrip("; ")
        case _:
            text = str(body.get("said", ""))
    return text + because


def _cell(value: object, words: Words) -> str:
    """A cell of a row as it is read, not as a computer keeps it."""
    return words.number(value, 2) if isinstance(value, float) else str(value)


def _why(kept: object, words: Words, reason: Reason | None) -> str:
    """A reason in the farm's language, if it is the one that an entry keeps in English; else as it is kept."""
    return in_words(reason, words) if reason is not None and str(reason) == kept else words.say(str(kept))


def _reread_words(body: Mapping[str, Any], words: Words) -> str:
    """What came of reading a feed's files again: why, how many rows are not as before, and which files are gone."""
    figures = {name: body.get(name, 0) for name in ("files", "changed", "withdrawn")}
    text = told(words, "{files|file|files}, {changed|row|rows} changed, {withdrawn} taken back", **figures)
    gone = [str(name) for name in body.get("gone_named", ())]
    if gone:
        more = " ..." if body.get("gone", 0) > len(gone) else ""
        named = ", ".join(gone) + more
        text += "; " + told(words, "no longer there, so what they gave stays: {files}", files=named)
    return text


def _jump_words(by_s: int, words: Words) -> str:
    """How far the clock was put ahead, or back (negative)."""
    span = format_quantity(abs(by_s), "s", words)
    if by_s > 0:
        return told(words, "the clock was put forward by {span}", span=span)
    return told(words, "the clock was put back by {span}", span=span)


def _named(body: Mapping[str, Any]) -> dict[str, Any]:
    """What the log says about a file that was read; what an entry does not have reads `None`."""
    return {name: body.get(name) for name in ("file", "rows", "new", "corrected", "line")}


def _cause(name: str, words: Words) -> str:
    """A rule and its subject, as an alert is held back by them."""
    rule, _, subject = name.rpartition(" ")
    return f"{rule}, {subject_words(subject, words, 'short')}" if rule else name
