"""Alerts of a rule that come in one notice: the cows that grow very late in a night are one errand, not nine rings.

The first rings at once. Those that follow within the time that the rule says (`together`) wait for its end and come in
one notice; so do a reminder and a handing on of several of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from sentinel.flow.language import told
from sentinel.flow.measures.milking.lateness import HOURS_SINCE_MILKING
from sentinel.flow.model import Alert, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.wants import Want
from sentinel.flow.notices.wording import LOOK_FIRST_MOST, at_most, line_of, said_before, short, told_by
from sentinel.flow.settings.people import Person

FIRST_TOLD = ("alert", "digest")
"""Kinds of notice after which the next of the same rule wait to come together."""


@dataclass(frozen=True, slots=True)
class About:
    """What a notice of several says of each: which of them comes first, and a few words more."""

    order: tuple[float, ...] = ()
    more: str = ""


AboutEach = Callable[[Sequence[Alert]], Mapping[int, About]]
"""Asked for that of some alerts, by their numbers."""


def wait_for_others(
    found: Iterable[Want], at: int, desk: Desk, alerts: Iterable[Alert], sent: Iterable[Notice]
) -> list[Want]:
    """The wants, with those put off that are to come together with others: to the end of the time since the last."""
    rule_of = {alert.id: alert.rule for alert in alerts}
    last: dict[tuple[str, str], int] = {}
    for notice in sent:
        if notice.kind in FIRST_TOLD and not notice.put_back:
            for number in notice.alerts:
                key = (notice.person, rule_of.get(number, ""))
                last[key] = max(last.get(key, notice.at), notice.at)
    wants = []
    for want in found:
        within = _together_s(want, desk)
        before = last.get((want.person.name, want.alert.rule))
        if want.kind == "alert" and within and before is not None and want.due_at < before + within:
            due_at = want.person.now.next_on(max(at, before + within), desk.zone)
            wants.append(want if due_at is None else replace(want, due_at=due_at))
        else:
            wants.append(want)
    return wants


def in_pieces(ready: Sequence[Want], desk: Desk) -> list[list[Want]]:
    """What one person is told now, by notices: each by itself, but those of a rule that come together."""
    pieces: dict[object, list[Want]] = {}
    for n, want in enumerate(ready):
        pieces.setdefault((want.alert.rule if _together_s(want, desk) else n), []).append(want)
    return list(pieces.values())


def _together_s(want: Want, desk: Desk) -> int:
    rule = desk.rules.get(want.alert.rule)
    return rule.together_s if rule is not None else 0


def together_notice(at: int, desk: Desk, person: Person, wants: Sequence[Want], about: AboutEach) -> Notice:
    """One notice of several alerts of a rule, in the order in which they are best seen to."""
    words, rule = desk.speaks(), desk.rules[wants[0].alert.rule]
    said = about([want.alert for want in wants])
    none = About()
    ordered = sorted(wants, key=lambda want: (said.get(want.alert.id, none).order, want.alert.since, want.alert.id))
    lines = []
    for want in ordered:
        line = f"- {line_of(want.alert, at, words)}{said_before(want, words)}"
        more = said.get(want.alert.id, none).more
        lines.append(f"{line}; {more}" if more else line)
    title = told(words, "{n} alerts together", n=len(wants))
    if rule.measure == HOURS_SINCE_MILKING.name:
        title = told(words, "{n} cows late to be milked", n=len(wants))
    first = ordered[0].alert
    hints = (*first.caution, *first.look_first[:LOOK_FIRST_MOST])
    body = [*at_most(lines, words), *([words.say("Look first:")] if hints else []), *(f"- {hint}" for hint in hints)]
    numbers = tuple(number for want in ordered for number in told_by(want))
    return Notice(at, person.name, "digest", short(title), "\n".join(body), "now", numbers)
