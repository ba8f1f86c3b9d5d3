"""What becomes of alerts whose rows were read again by another feed map, or taken back.

What an alert says of the time before was read by the map of then: it does not hold against what is read now.
"""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, field

from sentinel.flow.measures import measure_named
from sentinel.flow.model import Alert, name_of
from sentinel.flow.reasons import Reason
from sentinel.flow.rules import Rule
from sentinel.flow.tables import table_named


@dataclass(frozen=True, slots=True)
class ReadAgain:
    """What was read again since the last tick: per table the cows or boxes of the rows that changed, and why."""

    touched: Mapping[str, frozenset[str]] = field(default_factory=dict)
    because: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Whether anything was."""
        return bool(self.because)

    def with_(self, because: str, touched: Mapping[str, Set[str]]) -> ReadAgain:
        """Also what one reading changed."""
        tables = {
            name: self.touched.get(name, frozenset()) | touched.get(name, frozenset())
            for name in {*self.touched, *touched}
        }
        return ReadAgain(tables, tuple(dict.fromkeys([*self.because, because])))

    @property
    def why(self) -> Reason:
        """Why an alert ended that rested on what is no longer so."""
        return Reason("read-again", because="; ".join(self.because))

    def may_rest_on(self, alert: Alert, rule: Rule) -> bool:
        """Whether an alert may rest on rows that changed: its rule looks at their table."""
        measure = measure_named(rule.measure)
        tables = {name.partition(".")[0] for name in (*measure.needs, *measure.uses)}
        return any(self.touched.get(table_named(name).stored_as) for name in tables)

    def names(self, alert: Alert, rule: Rule) -> bool:
        """Whether rows of the very cow, box or tank changed that an alert is about."""
        return self.may_rest_on(alert, rule) and any(
            name_of(alert.subject).partition("/")[0] in who for who in self.touched.values()
        )


NOTHING = ReadAgain()
