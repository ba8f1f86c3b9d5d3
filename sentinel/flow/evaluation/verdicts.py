"""What a rule says about each subject at a moment: it holds, it is clear, or it is unknown, and why."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from sentinel.flow.evaluation.held_readings import Beginnings, by_usual
from sentinel.flow.evaluation.known_until import known_until, of_box
from sentinel.flow.evaluation.series import OPEN, up_to
from sentinel.flow.evaluation.spans import Spans, spans
from sentinel.flow.language import Later
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import State, Subject, Verdict, kind_of, name_of
from sentinel.flow.rules import Rule
from sentinel.flow.subjects import parts_of
from sentinel.flow.tables import Tables


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdicts of one rule at a moment, and the next moment at which one of them changes by itself.

    `sampled`: its measure gives readings, so only new rows can change the verdict of their own subjects. `whole`:
    a subject without a verdict is no longer watched (of a sampled measure only some subjects may be looked at).
    """

    verdicts: tuple[Verdict, ...]
    due: int | None = None
    sampled: bool = False
    whole: bool = False


def judge(
    rule: Rule,
    measure: Measure,
    tables: Tables,
    known: Mapping[str, int | None],
    at: int,
    begun: Beginnings | None = None,
) -> Judgement:
    """What the rule says of each subject at `at`, from rows known by then.

    `known` is each fed table's known-until. Past it nothing is decided: a value that would only pass its bound
    after it is `unknown`, so a late export never makes a cow late. A known reset is certain up to itself, even past
    the known-until. `due` is the next moment at which time alone changes a verdict.
    """
    begun = begun or {}
    standing = {subject: began for subject, began in begun.items() if began.last is None}
    until = known_until(measure, known, at)
    if until is None:
        why = "its feed has not given anything yet"
        return Judgement(tuple(Verdict(rule.name, one, State.UNKNOWN, why=why) for one in standing))
    spans_of_rule = spans(rule, measure, tables, begun, since=at)
    until_of_box = _until_of_box(rule, measure, known, at)
    verdicts = [
        *_verdicts(rule, measure, spans_of_rule, until, at, standing, until_of_box),
        *_without_readings(rule, spans_of_rule, until, standing),
    ]
    ahead = (
        [spans_of_rule.facts["at"].to_numpy(np.int64)] if spans_of_rule.elapsed else []
    )  # a box's clock may run ahead of ours
    if at in (until, *until_of_box.values()):
        ahead += [spans_of_rule.held[name] for name in ("start", "now_from", "round_from", "end")]
    later = [int(moments[moments > at].min()) for moments in ahead if (moments > at).any()]
    due = min((moment for moment in later if moment < OPEN), default=None)
    return Judgement(tuple(verdicts), due, sampled=not spans_of_rule.elapsed, whole=spans_of_rule.elapsed)


def _until_of_box(rule: Rule, measure: Measure, known: Mapping[str, int | None], at: int) -> dict[Subject, int]:
    """The moment of decision of each box of which that is known for itself."""
    if not measure.of_each_box or rule.per != "box":
        return {}
    before = of_box("")
    return {
        f"box:{name.removeprefix(before)}": min(at, moment)
        for name, moment in known.items()
        if name.startswith(before) and moment is not None
    }


def _verdicts(
    rule: Rule,
    measure: Measure,
    spans_of_rule: Spans,
    until: int,
    at: int,
    standing: Beginnings,
    until_of_box: Mapping[Subject, int],
) -> list[Verdict]:
    """The verdict of each subject with a reset or a reading up to the moment of decision, `until` unless it is a box
    with its own.

    What stands is over once a reset is known that came after it began, though what followed is not known yet.
    """
    rows = _last_rows(spans_of_rule, at if spans_of_rule.elapsed else until)
    reset = spans_of_rule.facts["at"].to_numpy(np.int64)[rows]
    subject = spans_of_rule.facts["subject"].to_numpy(object)[rows]
    moment = np.array([until_of_box.get(one, until) for one in subject], np.int64)
    moment = np.maximum(reset, moment) if spans_of_rule.elapsed else moment
    value = spans_of_rule.values(rows, moment)
    held = spans_of_rule.held
    ahead = up_to(held["subject"], held["start"], subject, moment)
    here = np.maximum(ahead - 1, 0)
    holds = _within(held, subject, moment)
    not_yet = _own(held, ahead, subject) & spans_of_rule.elapsed
    not_yet[not_yet] = held["start"][ahead[not_yet]] <= at
    doubtful = _within(spans_of_rule.unsure, subject, moment) if spans_of_rule.elapsed else np.zeros(len(rows), bool)
    behind = rows[holds] if spans_of_rule.elapsed else np.maximum(spans_of_rule.latest(rows[holds], moment[holds]), 0)
    has_value = (
        np.ones(len(rows), bool) if spans_of_rule.elapsed else spans_of_rule.facts["value"].notna().to_numpy()[rows]
    )
    shown = spans_of_rule.facts.iloc[behind]
    if not spans_of_rule.elapsed and len(behind):
        shown = by_usual(measure, 1 if rule.raise_under is None else -1, shown, held["usual"][here[holds]])
    figures = iter(shown.to_dict("records") if len(behind) else ())
    verdicts: list[Verdict] = []
    for i, one in enumerate(subject):
        amount = None if np.isnan(value[i]) else float(value[i])
        if holds[i]:
            span = {name: column[here[i]] for name, column in held.items()}
            urgency = urgency_at(span["now_from"], span["round_from"], moment[i])
            facts = {**facts_of(one, next(figures), amount), "bound": float(span["bound"])}
            if not np.isnan(span.get("usual", np.nan)):
                facts["usual"] = float(span["usual"])
            if spans_of_rule.doubts is not None:
                unread = spans_of_rule.doubts.about(one, int(reset[i]), int(moment[i]), float(span["doubted_s"]))
                facts |= {"unread": unread} if unread else {}
            verdicts.append(Verdict(rule.name, one, State.HOLDS, amount, int(span["since"]), urgency, facts))
        elif doubtful[i]:
            verdicts.append(Verdict(rule.name, one, State.UNKNOWN, why="how a visit ended could not be read"))
        elif not_yet[i] and not (one in standing and standing[one].since < reset[i]):
            verdicts.append(Verdict(rule.name, one, State.UNKNOWN, amount, why="the export has not come that far"))
        elif not has_value[i]:
            verdicts.append(Verdict(rule.name, one, State.UNKNOWN, why=str(spans_of_rule.facts["why"].iloc[rows[i]])))
        else:
            verdicts.append(Verdict(rule.name, one, State.CLEAR, amount))
    return verdicts


def _within(stretches: Mapping[str, np.ndarray], subject: np.ndarray, moment: np.ndarray) -> np.ndarray:
    """Whether a stretch of its own covers each subject at its moment."""
    ahead = up_to(stretches["subject"], stretches["start"], subject, moment)
    here = np.maximum(ahead - 1, 0)
    covered = _own(stretches, here, subject) & (ahead > 0) if len(here) else np.zeros(0, bool)
    covered[covered] = moment[covered] < stretches["end"][here[covered]]
    return covered


def _last_rows(spans_of_rule: Spans, moment: int) -> np.ndarray:
    """The row of each subject's last reset or reading up to a moment."""
    early = np.flatnonzero(spans_of_rule.facts["at"].to_numpy(np.int64) <= moment)
    subject = spans_of_rule.facts["subject"].to_numpy(object)[early]
    return early[np.append(subject[1:] != subject[:-1], True)] if len(early) else early


def _own(held: Mapping[str, np.ndarray], place: np.ndarray, subject: np.ndarray) -> np.ndarray:
    """Whether there is a span at each place and it is of the subject."""
    there = place < len(held["subject"])
    there[there] = held["subject"][place[there]] == subject[there]
    return there


def _without_readings(rule: Rule, spans_of_rule: Spans, until: int, standing: Beginnings) -> list[Verdict]:
    """An alert whose every reading was withdrawn, or is too old to be kept, rests on nothing and is clear."""
    if spans_of_rule.elapsed or not standing:
        return []
    known = set(spans_of_rule.facts["subject"])
    return [Verdict(rule.name, one, State.CLEAR) for one in standing if one not in known]


def urgency_at(now_from: int, round_from: int, moment: int) -> str:
    """How pressing a span is at a moment; it never becomes less so by itself."""
    if now_from <= moment:
        return "now"
    return "round" if round_from <= moment else "log"


def facts_of(subject: Subject, record: Mapping[Hashable, Any], value: float | None) -> dict[str, Any]:
    """What a rule's sentence may say: the parts of the subject and the figures of its row, as plain values.

    A column whose name begins with `_` is the measure's own.
    """
    parts: dict[str, Any] = parts_of(subject) or {kind_of(subject): name_of(subject)}
    figures = {
        str(key): item.item() if isinstance(item, np.generic) else item.now() if isinstance(item, Later) else item
        for key, item in record.items()
        if key not in ("subject", "at", "value", "why", "row", "sure")
        and not str(key).startswith("_")
        and not (isinstance(item, float) and np.isnan(item))
    }
    return {**figures, **parts, "subject": subject, "value": value, "reading_at": int(record["at"])}
