"""From the text of a rules file to rules, and everything that is wrong with it at once."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from sentinel.flow import measures as registry
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.model import Problem
from sentinel.flow.rules.bounds import (
    Bounds,
    check_class_bounds,
    check_rule_bounds,
    read_bounds,
    read_duration,
)
from sentinel.flow.rules.example_rows import example_faults
from sentinel.flow.rules.faults import Fault, quantity_or_fault
from sentinel.flow.rules.quantities import kind_of_unit
from sentinel.flow.rules.rule import USUAL_FINDINGS, Rule, RuleClass
from sentinel.flow.rules.where import read_where
from sentinel.flow.rules.words import known_places, sentence_faults
from sentinel.flow.rules.written import WrittenRule
from sentinel.flow.yaml.text import Document, did_you_mean, read_yaml, validate

USUAL_REMINDERS = 3
"""How often an alert is reminded of at most, where a rule reminds and does not say."""

MOST_RULES = 200
"""So many rules may a file have."""

MOST_ITEMS = 200
"""So many items may a rule's list or map have; of one that has more nothing else is told."""

_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def load_rules(text: str, name: str, measures: Sequence[Measure] | None = None) -> tuple[list[Rule], list[Problem]]:
    """The rules of one file and all its problems; a rule with a problem is left out.

    `name` is the file's name as people should see it; `measures` are the measures a rule may watch, usually all.
    """
    document, problems = read_yaml(text, name)
    if problems or document.data is None:
        return [], problems
    if not isinstance(document.data, list):
        sentence = 'a rules file is a list; begin each rule with "- rule: its-name"'
        return [], [Problem(document.source(()), sentence)]
    if len(document.data) > MOST_RULES:
        sentence = (
            f"this file has {len(document.data):,} rules; at most {MOST_RULES} are allowed; take some out or split it"
        )
        return [], [Problem(document.source(()), sentence)]
    known = {measure.name: measure for measure in (registry.MEASURES if measures is None else measures)}
    rules = []
    lines = text.splitlines()
    for index, item in enumerate(document.data):
        rule, wrong = load_rule(item, document, index, known, _own_text(lines, document, index))
        problems += wrong
        if rule:
            rules.append(rule)
    return rules, sorted(problems)


def load_rule(
    item: Any, document: Document, index: int, known: Mapping[str, Measure], text: str
) -> tuple[Rule | None, list[Problem]]:
    """One item of a rules file as a rule, or what is wrong with it; `text` is its own YAML."""
    if not isinstance(item, Mapping):
        sentence = 'this is not a rule; a rule begins with "- rule: its-name"'
        return None, [Problem(document.source((index,)), sentence)]
    _, problems = validate(WrittenRule, item, document, (index,))
    if any(len(value) > MOST_ITEMS for value in item.values() if isinstance(value, list | dict)):
        return None, problems or [Problem(document.source((index,)), f"a list here has more than {MOST_ITEMS} items")]
    values, faults = understand(item, known)
    problems += [fault.problem(document, (index,)) for fault in faults]
    if problems:
        return None, problems
    return Rule(**values, source=document.source((index,)), text=text), []


def understand(item: Mapping[str, Any], known: Mapping[str, Measure]) -> tuple[dict[str, Any], list[Fault]]:
    """The fields of a `Rule` from the keys as they are written; a key of the wrong type is passed over here.

    (`WrittenRule` has already reported unknown keys, missing keys and wrong types.)
    """
    values: dict[str, Any] = {"name": item.get("rule"), "measure": item.get("measure")}
    faults = _name_faults(item.get("rule"))
    measure = known.get(str(item.get("measure")))
    if measure is None:
        if isinstance(item.get("measure"), str):
            faults.append(
                Fault(("measure",), f'"{item["measure"]}" is not a measure{did_you_mean(item["measure"], known)}')
            )
        faults += _unmeasured_faults(item)
    else:
        bounds, wrong = read_bounds(item, measure.unit)
        faults += wrong + check_rule_bounds(item, bounds, measure.unit)
        options, wrong = _options(item.get("options"), measure)
        faults += wrong
        values |= {**bounds, "unit": measure.unit, "options": options}
        per, wrong = _per(item, measure)
        faults += wrong
        if per is not None:
            values["per"] = per
            subject_values, wrong = _per_subject(item, measure, per, bounds)
            values |= subject_values
            faults += wrong
    for key, field, never in _DURATIONS:
        values[field], wrong = read_duration(item, key, never)
        faults += wrong
    values["remind_most"], wrong = _remind_most(item, values["remind_every_s"])
    faults += wrong
    values["urgency"] = item.get("urgency")
    values["covered_by"] = _texts(item.get("covered_by"))
    if values["name"] in values["covered_by"]:
        faults.append(Fault(("covered_by",), "a rule cannot cover itself; take its own name out"))
    values |= {"say": item.get("say"), "about": item.get("about", "")}
    values |= {key: _texts(item.get(key)) for key in ("caution", "look_first")}
    values["findings"] = _texts(item.get("findings", list(USUAL_FINDINGS)))
    if item.get("findings") == []:
        faults.append(Fault(("findings",), "is empty; give at least one, or leave the key out"))
    return values, faults


_DURATIONS = (
    ("lasting", "lasting_s", False),
    ("again_within", "again_within_s", True),
    ("remind_every", "remind_every_s", True),
    ("together", "together_s", True),
    ("over_after", "over_after_s", True),
)


def _name_faults(name: Any) -> list[Fault]:
    if not isinstance(name, str) or _NAME.fullmatch(name):
        return []
    better = "-".join(re.findall(r"[a-z0-9]+", name.lower())) or "late-cow"
    return [Fault(("rule",), f'"{name}" should be small letters, digits and hyphens, for example "{better}"')]


def _unmeasured_faults(item: Mapping[str, Any]) -> list[Fault]:
    """What can be checked in a rule whose measure is not known: only that it has a raising bound."""
    return [f for f in check_rule_bounds(item, {}, "ratio") if f.path == () or f.path[0] == "raise_under"]


def _per(item: Mapping[str, Any], measure: Measure) -> tuple[str | None, list[Fault]]:
    """The kind of subject of a rule: the measure's only one, or the one that is named."""
    named = item.get("per")
    if named is None:
        if len(measure.per) == 1:
            return measure.per[0], []
        sentence = f"per: is missing; {measure.name} can be taken per {' or per '.join(measure.per)}"
        return None, [Fault((), sentence)]
    if named not in measure.per:
        return None, [Fault(("per",), f'"{named}" is not possible{did_you_mean(str(named), measure.per)}')]
    return str(named), []


def _per_subject(
    item: Mapping[str, Any], measure: Measure, per: str, bounds: Bounds
) -> tuple[dict[str, Any], list[Fault]]:
    """Everything of a rule that depends on the kind of its subjects: where, classes, sentences, examples."""
    where, faults = read_where(item.get("where"), per)
    faults = [fault.under("where") for fault in faults]
    classes, wrong = _classes(item.get("classes"), measure, per, bounds)
    faults += wrong
    places = known_places(per, measure)
    if isinstance(item.get("say"), str):
        faults += [fault.under("say") for fault in sentence_faults(item["say"], places)]
    for key in ("caution", "look_first"):
        for index, line in enumerate(_texts(item.get(key))):
            faults += [fault.under(key, index) for fault in sentence_faults(line, places)]
    examples = item.get("examples") if isinstance(item.get("examples"), list) else []
    for index, example in enumerate(examples or []):
        faults += [fault.under("examples", index) for fault in example_faults(example, per)]
    faults += _pressing_faults(item, classes)
    return {"where": where, "classes": classes, "examples": tuple(examples or [])}, faults


def _options(written: Any, measure: Measure) -> tuple[dict[str, float], list[Fault]]:
    """The measure's settings: durations in seconds, others in the option's unit."""
    if not isinstance(written, Mapping):
        return {}, []
    known = {option.name: option for option in measure.options}
    options: dict[str, float] = {}
    faults: list[Fault] = []
    for name, value in written.items():
        if name not in known:
            hint = did_you_mean(str(name), known) if known else " (it has none)"
            faults.append(Fault(("options", name), f"is not a setting of {measure.name}{hint}"))
            continue
        unit = known[name].unit
        read, wrong = quantity_or_fault(value, "s" if kind_of_unit(unit) == "duration" else unit, "options", name)
        faults += wrong
        if read is not None:
            options[str(name)] = read
    return options, faults


def _classes(written: Any, measure: Measure, per: str, rule: Bounds) -> tuple[tuple[RuleClass, ...], list[Fault]]:
    """The classes of a rule, checked against the rule's own bounds."""
    classes: list[RuleClass] = []
    faults: list[Fault] = []
    for index, item in enumerate(written if isinstance(written, list) else []):
        if not isinstance(item, Mapping):
            continue
        bounds, wrong = read_bounds(item, measure.unit)
        wrong += check_class_bounds(item, bounds, rule, measure.unit)
        where, misfit = read_where(item.get("where"), per)
        wrong += [fault.under("where") for fault in misfit]
        if not item.get("where"):
            wrong.append(Fault((), 'where: is missing; say which subjects, for example "where: {lactation: 1}"'))
        lasting, misfit = read_duration(item, "lasting")
        wrong += misfit
        faults += [fault.under("classes", index) for fault in wrong]
        urgency = item.get("urgency") if item.get("urgency") in ("now", "round", "log") else None
        lasting_s = lasting if item.get("lasting") is not None else None
        classes.append(RuleClass(where=where, **bounds, lasting_s=lasting_s, urgency=urgency))
    return tuple(classes), faults


def _pressing_faults(item: Mapping[str, Any], classes: Sequence[RuleClass]) -> list[Fault]:
    """A pressing bound on a rule that always goes to the phone at once says nothing."""
    key = next((key for key in ("now_over", "now_under") if item.get(key) is not None), None)
    if key and item.get("urgency") == "now" and all(one.urgency in (None, "now") for one in classes):
        return [Fault((key,), "changes nothing, as the urgency is already now; take it out or make the urgency round")]
    return []


def _remind_most(item: Mapping[str, Any], remind_every_s: int) -> tuple[int, list[Fault]]:
    """How many reminders at most; the usual number where a rule reminds and does not say."""
    if item.get("remind_most") is None:
        return (USUAL_REMINDERS if remind_every_s else 0), []
    most, faults = quantity_or_fault(item["remind_most"], "times", "remind_most")
    if not faults and not remind_every_s and item.get("remind_every") is None:
        faults.append(Fault(("remind_most",), 'needs remind_every, for example "remind_every: 2 h"'))
    return int(most or 0), faults


def _texts(value: Any) -> tuple[str, ...]:
    """A list of texts as a tuple; anything else has already been reported."""
    return tuple(one for one in value if isinstance(one, str)) if isinstance(value, list) else ()


def _own_text(lines: Sequence[str], document: Document, index: int) -> str:
    """The lines of one rule out of its file's, without the blank lines and comments that follow it."""
    begin = document.source((index,)).line - 1
    following = (index + 1,)
    end = document.source(following).line - 1 if following in document.places else len(lines)
    own = list(lines[begin:end])
    while own and (not own[-1].strip() or own[-1].startswith("#")):
        own.pop()
    return "\n".join(own) + "\n"
