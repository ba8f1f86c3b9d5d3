"""Why an alert came or did not, for programs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sentinel.flow.reasons import in_english
from sentinel.flow.record.evidence import Seen
from sentinel.flow.record.rule_version import RuleVersion
from sentinel.flow.record.story import Had, HeldBack, NotTold, Sent, Stood, Story
from sentinel.flow.record.why import RowShown, Why
from sentinel.flow.views.parts.records import rfc3339


def why_record(why: Why) -> dict[str, Any]:
    """Everything that is known of why, for programs: times in RFC 3339 UTC."""
    seen, version, alert = why.seen, why.version, why.alert
    return {
        "at": rfc3339(why.at),
        "rule": why.rule,
        "subject": why.subject,
        "alert": None if alert is None else alert.id,
        "text": None if alert is None else alert.text,
        "incident": None if alert is None else alert.incident or alert.id,
        "saw": None if seen is None else _seen_record(seen),
        "cannot": in_english(why.cannot) or None,
        "value_in_log": why.told_value,
        "value_agrees": why.agrees,
        "threshold": None if version is None else _version_record(version, seen),
        "rows": [_row_record(row) for row in why.rows],
        "told_usual": [
            {"table": one.table, "rows": one.rows, "from": rfc3339(one.begin), "to": rfc3339(one.end)}
            for one in why.usual
        ],
        "stood": None if why.stood is None else _stood_record(why.stood),
        **(_story_record(why.story) if why.story is not None else {}),
    }


def _moment(at: int | None) -> str | None:
    return None if at is None else rfc3339(at)


def _seen_record(seen: Seen) -> dict[str, Any]:
    return {
        "state": seen.state,
        "why": seen.why or None,
        "value": seen.value,
        "unit": seen.unit,
        "urgency": seen.urgency or None,
        "since": _moment(seen.since),
        "decided_until": _moment(seen.until),
        "data_stopped_at": _moment(seen.old_since),
        "readings": [{"at": rfc3339(one.at), "value": one.value} for one in seen.readings],
        "feeds": [
            {"feed": one.feed, "known_until": _moment(one.known_until), "quiet_since": _moment(one.quiet_since)}
            for one in seen.feeds
        ],
        "others": list(seen.others),
    }


def _version_record(version: RuleVersion, seen: Seen | None) -> dict[str, Any]:
    force = seen.in_force if seen else None
    bounds = (
        {}
        if force is None
        else {
            "class": force.number,
            "class_where": {name: list(values) for name, values in force.where},
            "raise_" + ("over" if force.over else "under"): force.raises,
            "clear_" + ("under" if force.over else "over"): force.clears,
            "now_" + ("over" if force.over else "under"): force.now,
            "lasting_s": force.lasting_s,
            "urgency": force.urgency,
            "known_of_it": dict(force.says),
        }
    )
    return {
        **bounds,
        "written_at": version.place,
        "version": version.version,
        "in_force_since": rfc3339(version.since),
        "edit": version.entry,
        "changes": list(version.changes),
        "by": version.person or None,
        "reason": version.reason or None,
    }


def _row_record(row: RowShown) -> dict[str, Any]:
    stands = [{"file": file, "line": line} for file, line in row.stands]
    return {"table": row.table, "at": rfc3339(row.at), **dict(row.says), "stands": stands}


def _stood_record(stood: Stood) -> dict[str, Any]:
    return {
        "alert": stood.alert,
        "came_at": rfc3339(stood.came_at),
        "since": rfc3339(stood.since),
        "held_back_by": list(stood.held_back_by),
    }


def _story_record(story: Story) -> Mapping[str, Any]:
    return {
        "rang": story.rang,
        "held_back": [_held_record(one) for one in story.held_back],
        "told": [_sent_record(one) for one in story.sent],
        "not_told": [_not_told_record(one) for one in story.not_told],
        "had": [_had_record(one) for one in story.had],
    }


def _held_record(one: HeldBack) -> dict[str, Any]:
    return {"from": rfc3339(one.since), "until": _moment(one.until), "by": list(one.by)}


def _sent_record(one: Sent) -> dict[str, Any]:
    return {
        "notice": one.notice.id,
        "at": rfc3339(one.notice.at),
        "person": one.notice.person,
        "kind": one.notice.kind,
        "title": one.notice.title,
        "names_it": one.names,
        "channel": one.channel or None,
        "outcome": one.outcome,
        "ended_at": _moment(one.at),
        "tries": one.tries,
        "detail": None if one.detail is None else str(one.detail),
    }


def _not_told_record(one: NotTold) -> dict[str, Any]:
    return {"person": one.person, "why": one.why, "from": _moment(one.from_at), "pushes": one.pushes}


def _had_record(one: Had) -> dict[str, Any]:
    return {
        "at": rfc3339(one.at),
        "kind": one.kind,
        "person": one.person,
        "entry": one.entry,
        "finding": one.finding or None,
        "note": one.note or None,
        "to": one.to or None,
        "until": _moment(one.until),
    }
