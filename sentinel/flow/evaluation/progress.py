"""How far the rules have been decided: each one up to when, when it changes by itself, and which of them fail."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from sentinel.flow.evaluation.known_until import known_until
from sentinel.flow.evaluation.verdicts import Judgement
from sentinel.flow.measures import measure_named
from sentinel.flow.measures.system.health import RULE_BLIND_H
from sentinel.flow.model import Problem
from sentinel.flow.rules import Rule


@dataclass(frozen=True, slots=True)
class Progress:
    """What is remembered of each rule between two ticks.

    `known`: each table's known-until, which a stream processor calls its watermark. `moved`: the tables whose
    known-until is another one than at the last tick. `decided`: up to which moment each rule was decided when it was
    last judged; `decidable`: up to which it can be at this tick. `due`: the next moment at which time alone changes
    one of its verdicts. `failing`: the rules that could not be decided, each with what went wrong. `sampled`: the
    measures that gave readings, so that only new rows change the verdicts on their own subjects.
    """

    known: Mapping[str, int | None] = field(default_factory=dict)
    moved: frozenset[str] = frozenset()
    decided: Mapping[str, int] = field(default_factory=dict)
    decidable: Mapping[str, int] = field(default_factory=dict)
    due: Mapping[str, int] = field(default_factory=dict)
    failing: Mapping[str, str] = field(default_factory=dict)
    sampled: frozenset[str] = frozenset()

    def forgotten(self) -> Progress:
        """Nothing counts as decided any more; what a table's or a measure's nature is stays known."""
        return Progress(known=self.known, sampled=self.sampled)

    def at_tick(self, at: int, rules: Mapping[str, Rule], known: Mapping[str, int | None]) -> Progress:
        """How far each rule can be decided at `at`; one that was failing at the last tick gets no further."""
        decidable = {}
        for name, rule in rules.items():
            until = known_until(measure_named(rule.measure), known, at)
            before = self.decided.get(name)
            if until is not None and name not in self.failing:
                before = until if before is None else max(until, before)
            if before is not None:
                decidable[name] = before
        moved = frozenset(name.partition(":")[0] for name in known if known[name] != self.known.get(name, 0))
        return replace(self, known=dict(known), moved=moved, decidable=decidable)

    def seeing_until(self, at: int) -> dict[str, int]:
        """For each rule that could be decided once: up to when it is not blind.

        A rule that waits for its feed is not blind: the feed is within its time, or it is quiet, which is told.
        """
        return {name: until if name in self.failing else at for name, until in self.decidable.items()}

    def newly_failing(self, failures: Mapping[str, Problem]) -> list[Problem]:
        """The failures that have not been told: those of rules that worked, or failed otherwise, at the last tick."""
        return [one for name, one in failures.items() if self.failing.get(name) != one.message]

    def judged(
        self,
        at: int,
        rules: Mapping[str, Rule],
        judgements: Mapping[str, Judgement],
        failures: Mapping[str, Problem],
    ) -> Progress:
        """After some rules were judged at `at` and some failed; the others stay as they were."""
        due, sampled = dict(self.due), set(self.sampled)
        for name, judgement in judgements.items():
            moment, last = judgement.due, due.pop(name, at)
            if judgement.sampled:
                sampled.add(rules[name].measure)
                if last > at:  # only some cows were looked at; another's moment may still be ahead
                    moment = last if moment is None else min(moment, last)
            if moment is not None:
                due[name] = moment
        due = {name: moment for name, moment in due.items() if name in rules and moment > at}
        if self.failing.keys() - failures.keys():  # it works again: whoever watches for that looks in a second
            due |= {name: at + 1 for name, rule in rules.items() if rule.measure == RULE_BLIND_H.name}
        return replace(
            self,
            moved=frozenset(),
            decided={**self.decidable, **{name: self.decided.get(name, at) for name in failures}},
            decidable={},
            due=due,
            failing={name: problem.message for name, problem in failures.items()},
            sampled=frozenset(sampled),
        )
