"""Bounds that a person writes into a rule: checked, tried on the rule's own examples, logged, undone in one step.

The running service sees the changed file as it sees any other edit; here it is only written down who did it, and why.
"""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.edges.settings import raw_text, write_over
from sentinel.edges.store.log import append_entries, log_entries
from sentinel.errors import UsageError
from sentinel.flow.alerts.chain import Logged
from sentinel.flow.examples import run_examples
from sentinel.flow.measures import measure_named
from sentinel.flow.model import Entry
from sentinel.flow.reasons import Reason
from sentinel.flow.rules import Rule, Setting
from sentinel.flow.tuning.edit import CannotWrite, Prepared, edited, entry_body, undo_of
from sentinel.runtime.farm_folder import Farmyard

KIND = "rule-edited"

LONGEST_WHY = 1000
"""So many letters of a reason are kept."""


class EditRefused(UsageError):
    """A value is not written; `reason` says why."""

    def __init__(self, reason: Reason) -> None:
        super().__init__(str(reason))
        self.reason = reason


def prepared(
    yard: Farmyard, rule: Rule, settings: Sequence[Setting], at: int, seen: Sequence[str] | None = None, undoes: int = 0
) -> Prepared:
    """What would be written for some keys of a rule; nothing is, yet.

    `seen`: what each was when somebody decided it. Raises EditRefused, with why, if it cannot be.
    """
    name = rule.source.name
    on_disk = raw_text(yard.folder, name)
    try:
        edit = edited(on_disk, name, rule, settings, seen)
    except CannotWrite as error:
        raise EditRefused(Reason("at-place", place=name, why=error.reason)) from error
    failing = [problem.message for problem in run_examples(edit.rule, measure_named(edit.rule.measure), at)]
    return Prepared(name, on_disk, edit, failing, undoes)


def last_edit(yard: Farmyard, rule: Rule) -> Logged | None:
    """The last values that a person wrote into a rule."""
    edits = log_entries(yard.store, kind=KIND, rule=rule.name)
    return edits[-1] if edits else None


def undoing(yard: Farmyard, rule: Rule, at: int, number: int | None = None) -> Prepared:
    """What would put the last edit of a rule back, which must be the one of that number in the log if one is named.

    Raises EditRefused if there is none, it was put back already, or the rule was changed since.
    """
    last = last_edit(yard, rule)
    try:
        back = undo_of(rule.name, last, number)
    except CannotWrite as error:
        raise EditRefused(error.reason) from error
    assert last is not None
    what = prepared(yard, rule, [(one.key, one.after) for one in back], at, undoes=last.seq)
    for one, found in zip(back, what.edit.changes, strict=True):
        if one.before != found.before:
            raise EditRefused(Reason("undo-by-hand", key=one.key, now=found.before, after=one.before))
    return what


def write(yard: Farmyard, rule: Rule, what: Prepared, person: str, why: str, at: int, anyway: bool = False) -> Logged:
    """Write what was prepared into the file, and into the log who did it and why; that entry.

    Raises EditRefused for a person who may not, without a reason, and if an example fails and it is not to be written
    `anyway`; FarmFolderError if the file was changed meanwhile.
    """
    if not may_tune(yard, person):
        raise EditRefused(Reason("may-not-tune", person=person or "somebody"))
    reason = " ".join(why.split())[:LONGEST_WHY]
    if not reason and not what.undoes:
        raise EditRefused(Reason("why-missing"))
    if what.failing and not anyway:
        raise EditRefused(Reason("example-fails", rule=rule.name, why=what.failing[0]))
    entry = Entry(at, KIND, rule=rule.name, person=person, body=entry_body(what, reason))
    with yard.store.writing():
        append_entries(yard.store, [entry])
        written = last_edit(yard, rule)
        write_over(yard.folder, what.name, what.on_disk, what.edit.text)
    assert written is not None
    return written


def may_tune(yard: Farmyard, person: str) -> bool:
    """Whether a person may change rules."""
    return any(one.name == person and one.tunes for one in yard.setup.people)
