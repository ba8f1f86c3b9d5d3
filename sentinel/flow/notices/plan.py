"""Everything to send at a moment, within each person's ceiling, and the next moment at which something is due."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from sentinel.flow.herd.week import HerdWeek
from sentinel.flow.model import HOUR_S, Alert, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.history import HAS_IT, OVER, TELLING
from sentinel.flow.notices.regular.due import Due
from sentinel.flow.notices.regular.herd_week import herd_week_notice
from sentinel.flow.notices.regular.list_times import next_worklist, worklist_due
from sentinel.flow.notices.regular.week_times import herd_week_due, next_herd_week
from sentinel.flow.notices.regular.worklist import worklist_notice
from sentinel.flow.notices.together import AboutEach, in_pieces, together_notice, wait_for_others
from sentinel.flow.notices.wants import Want, ends_for_list, wants
from sentinel.flow.notices.wording import digest_notice, has_it_notice, over_notice, tell_notice
from sentinel.flow.schedule.sections import seen_by
from sentinel.flow.settings.people import Person, office_of

PUSHES = (*TELLING, HAS_IT, OVER)
"""Kinds of notice that count against a person's ceiling; worklists and the week on the herd do not."""

_FIRST = {kind: n for n, kind in enumerate(("alert", "handed-on", "lies-with", "reminder"))}


def plan(
    at: int,
    desk: Desk,
    alerts: Sequence[Alert],
    sent: Sequence[Notice],
    since: int | None,
    known: Mapping[str, int | None],
    due: Callable[[Sequence[Alert]], Due] = lambda alerts: Due(),
    watched: Callable[[], str] = str,
    week: Callable[[], HerdWeek | str] = str,
    about: AboutEach = lambda alerts: {},
) -> list[Notice]:
    """The notices to send at `at`.

    `alerts`: all of the incidents that stand, or ended in the last `OWED_FOR_S` (earlier ones do no harm).
    `sent`: in the order they were sent, every notice that names one of these alerts (however old: a missing one
    would be sent again) and every other of the last day. `since`: the tick before, None at the very first; of
    the worklists due since then the latest is sent. `known`: until when each feed is known. `due`: asked for what else
    is due, when a worklist is sent, which may name these alerts. `watched`: asked for its line on whether all is
    watched. `week`: asked how the herd is doing, or why that cannot be told, when somebody is due to hear it. `about`:
    asked what else a notice says of several alerts of one rule.
    """
    ready: dict[str, list[Want]] = {}
    for want in _wanted(at, desk, alerts, sent):
        if want.due_at == at:
            ready.setdefault(want.person.name, []).append(want)
    notices: list[Notice] = []
    for person in desk.people:
        notices += _under_ceiling(at, desk, person, ready.get(person.name, []), sent, about)
        round_at = worklist_due(at, desk, person, sent, since)
        if round_at is not None:
            ends = ends_for_list(at, desk, person, alerts, [*sent, *notices])
            hers = seen_by(person.name, office_of(desk.people), alerts)
            notices.append(worklist_notice(at, desk, person, hers, known, round_at, due(hers), watched(), ends))
            notices += [replace(over_notice(at, desk, person, ends), urgency="log")] if ends else []
        if herd_week_due(at, desk, person, sent, since):
            notices.append(herd_week_notice(at, desk, person, week()))
    return notices


def _wanted(at: int, desk: Desk, alerts: Sequence[Alert], sent: Sequence[Notice]) -> list[Want]:
    """All that is wanted, now or later, those that come together put off to the moment at which they do."""
    return wait_for_others(wants(at, desk, alerts, sent), at, desk, alerts, sent)


def _under_ceiling(
    at: int, desk: Desk, person: Person, ready: Sequence[Want], sent: Sequence[Notice], about: AboutEach
) -> list[Notice]:
    """One notice each while they fit; if they do not, the last free push carries the rest as one digest.

    Without a free push everything waits for one. What others have go into one notice, after what still stands, and so
    do ends. One that is only kept, as the worklist says it, rings nobody and is not counted.
    """
    tells = sorted((w for w in ready if w.kind in _FIRST), key=lambda w: (_FIRST[w.kind], w.alert.since, w.alert.id))
    heard = [w for w in ready if w.kind == HAS_IT]
    ends = [w for w in ready if w.kind == OVER]
    free = person.at_most - len(_pushes(at, person, sent))
    if free <= 0:
        return []
    pieces = in_pieces(tells, desk)
    single, rest = (pieces, []) if len(pieces) <= free else (pieces[: free - 1], pieces[free - 1 :])
    notices = [
        tell_notice(at, desk, piece[0]) if len(piece) == 1 else together_notice(at, desk, person, piece, about)
        for piece in single
    ]
    if rest:
        notices.append(digest_notice(at, desk, person, [want for piece in rest for want in piece]))
    if heard and len(notices) < free:
        notices.append(has_it_notice(at, desk, person, heard))
    if ends and len(notices) < free:
        notices.append(over_notice(at, desk, person, ends))
    return notices


def _pushes(at: int, person: Person, sent: Sequence[Notice]) -> list[int]:
    """When a person was pushed in the hour up to `at`, in order.

    What a clock that stood ahead pushed is not counted: it must not hold back what is so.
    """
    pushes = (n for n in sent if n.person == person.name and n.kind in PUSHES and n.urgency != "log" and not n.put_back)
    return sorted(n.at for n in pushes if n.at > at - HOUR_S)


def next_due(at: int, desk: Desk, alerts: Sequence[Alert], sent: Sequence[Notice]) -> int | None:
    """The next moment after `at` at which `plan` is to be asked again if nothing else happens; None if there is none.

    `sent` includes what `plan` gave at `at`. The moment may turn out to need nothing; none is ever missed.
    """
    moments: list[int | None] = []
    waiting = False
    for want in _wanted(at, desk, alerts, sent):
        if want.due_at > at:
            moments.append(want.due_at)
            continue
        waiting = True
        pushes = _pushes(at, want.person, sent)
        moments.append(pushes[-want.person.at_most] + HOUR_S if len(pushes) >= want.person.at_most else at + 1)
    for person in desk.people:
        moments += [next_worklist(at, desk, person), next_herd_week(at, desk, person)]
        if waiting:  # whoever comes or goes in the meantime may be the one to be told instead
            moments.append(person.now.next_change(at, desk.zone))
    return min((moment for moment in moments if moment is not None and moment > at), default=None)
