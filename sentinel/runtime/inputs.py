"""What a person says about an alert or a chore, checked against the farm and left for the next tick."""

from __future__ import annotations

from sentinel.edges.store.alerts import alert_with, standing_alerts
from sentinel.edges.store.inputs import last_done, put_answer, put_chore
from sentinel.errors import UsageError
from sentinel.flow.language import shown_time
from sentinel.flow.model import Answer, Chore
from sentinel.flow.yaml.text import did_you_mean
from sentinel.runtime.farm_folder import Farmyard


def leave_answer(yard: Farmyard, number: int, by: str, finding: str, note: str, at: int) -> str:
    """Leave a person's answer to an alert, said at `at`; the sentence that confirms it.

    Raises UsageError, with what would be right, for an unknown alert, person or finding.
    """
    person = person_named(yard, by)
    alert = alert_with(yard.store, number)
    if alert is None:
        standing = ", ".join(str(a.id) for a in standing_alerts(yard.store)) or "none"
        raise UsageError(f"there is no alert {number}; open now: {standing}")
    rule = yard.setup.rules.get(alert.rule)
    if finding and rule and finding not in rule.findings:
        raise UsageError(
            f"{finding!r} is not a finding of {rule.name}{did_you_mean(finding, rule.findings)}; "
            f"its findings: {', '.join(rule.findings) or 'none'}; use --note for your own words"
        )
    put_answer(yard.store, Answer(number, at, person, finding, note))
    return f"Answered {number}: {alert.text}"


def leave_chore(yard: Farmyard, chore: str, place: str, by: str, note: str, at: int) -> str:
    """Leave word that a chore was done at `at`; the sentence that confirms it.

    Raises UsageError, with what would be right, for an unknown chore, place or person.
    """
    _check_chore(yard, chore, place)
    put_chore(yard.store, Chore(chore, place, at, _only_person(yard, by), note))
    return f"Recorded: {chore} {place} done".replace("  ", " ")


def leave_undone(yard: Farmyard, chore: str, place: str, by: str, note: str, at: int) -> str:
    """Leave word at `at` that what was last recorded of a chore was not done; the sentence that confirms it.

    Raises UsageError, with what would be right, for an unknown chore, place or person, and where nothing is recorded.
    """
    _check_chore(yard, chore, place)
    done_at = last_done(yard.store, chore, place)
    what = f"{chore} {place}".strip()
    if done_at is None:
        raise UsageError(f"nobody has recorded {what} as done; what a box's own log says cannot be undone")
    put_chore(yard.store, Chore(chore, place, at, _only_person(yard, by), note, done_at))
    when = shown_time(done_at, at, yard.setup.farm.zone)
    return f"Recorded: {what} was not done at {when}"


def _only_person(yard: Farmyard, by: str) -> str:
    """Who says it; on a farm of one person it need not be said."""
    return person_named(yard, by) if by or len(yard.setup.people) != 1 else yard.setup.people[0].name


def _check_chore(yard: Farmyard, chore: str, place: str) -> None:
    """Raise UsageError, with what would be right, for an unknown chore or place."""
    known = {(c.name, c.place) for c in yard.setup.farm.chores}
    names = sorted({name for name, _ in known})
    if chore not in names:
        raise UsageError(f"{chore!r} is not a chore of this farm{did_you_mean(chore, names)}")
    places = sorted(p for name, p in known if name == chore)
    if place not in places:
        raise UsageError(f"say where {chore} was done: {', '.join(p or '(no place)' for p in places)}")


def person_named(yard: Farmyard, name: str) -> str:
    """The person as people.yaml writes them."""
    names = [person.name for person in yard.setup.people]
    for known in names:
        if known.casefold() == name.strip().casefold():
            return known
    if not names and name.strip():
        return name.strip()
    if not name.strip():
        raise UsageError(f"say who you are with --by: {', '.join(names)}")
    raise UsageError(f"{name!r} is not in people.yaml{did_you_mean(name, names)}")
