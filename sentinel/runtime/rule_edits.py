"""A bound that a person writes into the rules: checked, tried on the rule's own examples, logged, undone in one step.

The running service sees the changed file as it sees any other edit; here it is only written down who did it, and why.
"""

from __future__ import annotations

from sentinel.edges.settings import raw_text, write_over
from sentinel.edges.store.log import append_entries, log_entries
from sentinel.errors import UsageError
from sentinel.flow.alerts.chain import Logged
from sentinel.flow.examples import run_examples
from sentinel.flow.measures import measure_named
from sentinel.flow.model import Entry
from sentinel.flow.rules import Rule, Setting
from sentinel.flow.tuning.edit import CannotWrite, Prepared, edited
from sentinel.runtime.farm_folder import Farmyard

KIND = "rule-edited"

LONGEST_WHY = 1000
"""So many letters of a reason are kept."""


def prepared(yard: Farmyard, rule: Rule, setting: Setting, at: int, undoes: int = 0) -> Prepared:
    """What would be written for one key of a rule; nothing is, yet.

    Raises UsageError, with why, if it cannot be.
    """
    on_disk = raw_text(yard.folder, rule.source.name)
    try:
        edit = edited(on_disk, rule.source.name, rule.name, setting)
    except CannotWrite as error:
        raise UsageError(f"{rule.source.name}: {error}") from error
    failing = [problem.message for problem in run_examples(edit.rule, measure_named(edit.rule.measure), at)]
    return Prepared(rule.source.name, setting[0], on_disk, edit, failing, undoes)


def last_edit(yard: Farmyard, rule: Rule) -> Logged | None:
    """The last value that a person wrote into a rule."""
    edits = log_entries(yard.store, kind=KIND, rule=rule.name)
    return edits[-1] if edits else None


def undoing(yard: Farmyard, rule: Rule, at: int) -> Prepared:
    """What would put the last edit of a rule back.

    Raises UsageError if there is none, or the value was changed since.
    """
    last = last_edit(yard, rule)
    if last is None:
        raise UsageError(f"nobody has written a value into {rule.name}; there is nothing to undo")
    body = last.entry.body
    back = prepared(yard, rule, (str(body["key"]), str(body["before"])), at, last.seq)
    if back.edit.before != body["after"]:
        raise UsageError(f"{body['key']} is {back.edit.before} by now, not {body['after']}; undo it by hand")
    return back


def write(yard: Farmyard, rule: Rule, what: Prepared, person: str, why: str, at: int, anyway: bool = False) -> Entry:
    """Write what was prepared into the file, and into the log who did it and why.

    Raises UsageError for a person who may not, without a reason, and if an example fails and it is not to be written
    `anyway`; FarmFolderError if the file was changed meanwhile.
    """
    if not may_tune(yard, person):
        raise UsageError(f'{person or "somebody"} may not change rules; "tunes: yes" in people.yaml says who may')
    reason = " ".join(why.split())[:LONGEST_WHY]
    if not reason and not what.undoes:
        raise UsageError("say why: somebody will want to know when a phone rang or did not")
    if what.failing and not anyway:
        raise UsageError(f"an example of {rule.name} would no longer come out: {what.failing[0]}")
    body = {
        "file": what.name,
        "key": what.key,
        "before": what.edit.before,
        "after": what.edit.after,
        "why": reason,
        "diff": list(what.edit.diff),
        **({"undoes": what.undoes} if what.undoes else {}),
        **({"failing": list(what.failing)} if what.failing else {}),
    }
    entry = Entry(at, KIND, rule=rule.name, person=person, body=body)
    with yard.store.writing():
        append_entries(yard.store, [entry])
        write_over(yard.folder, what.name, what.on_disk, what.edit.text)
    return entry


def may_tune(yard: Farmyard, person: str) -> bool:
    """Whether a person may change rules."""
    return any(one.name == person and one.tunes for one in yard.setup.people)
