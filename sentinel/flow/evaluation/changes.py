"""What has come since everything was last judged: in which tables, about which cows, and from which moment."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Set
from dataclasses import dataclass, replace

import numpy as np

from sentinel.flow.rules import Rule
from sentinel.flow.tables import COWS, FILES, PER_COW, UNREAD, Tables, table_named

NEVER = 2**62
"""Later than any moment."""


@dataclass(frozen=True, slots=True)
class Changes:
    """What has changed since the last tick, and what was there already but lies past what could be decided then.

    `everything`: all of it, or it is not known what. `tables`: those with rows that are new or not as they were.
    `cows`: whose visits or tests are. `earliest`: the earliest moment of such a row (UTC seconds; NEVER if none).
    `behind_herd`: the tables whose known-until the herd list is ahead of: an attribute may change for any cow.
    """

    everything: bool = False
    tables: frozenset[str] = frozenset()
    cows: frozenset[str] = frozenset()
    earliest: int = NEVER
    behind_herd: frozenset[str] = frozenset()

    def with_batch(self, touched: Mapping[str, Set[str]], earliest: int | None, unread: bool) -> Changes:
        """Also what one export brought.

        `touched`: per table the cows or boxes whose rows are new or changed, `earliest`: the earliest moment of such a
        row. `unread`: whether what could not be read has changed.
        """
        return replace(
            self,
            everything=self.everything
            or bool(touched.get(COWS.name)),  # a cow may come into another class, or be let go
            tables=self.tables
            | {name for name, who in touched.items() if who}
            | {FILES.name}
            | ({UNREAD.name} if unread else set()),
            cows=self.cows.union(*(touched.get(name, ()) for name in PER_COW)),
            earliest=self.earliest if earliest is None else min(self.earliest, earliest),
        )

    def with_tables(self, names: Collection[str]) -> Changes:
        """Also new rows of some tables."""
        return replace(self, tables=self.tables.union(names))

    def with_cows(self, cows: Collection[str]) -> Changes:
        """Also some cows of whom nothing has come."""
        return replace(self, cows=self.cows.union(cows))


def not_settled(
    rules: Mapping[str, Rule], tables: Tables, known: Mapping[str, int | None], decided_until: Mapping[str, int]
) -> Changes:
    """What must be looked at again after a tick even if nothing new comes of it.

    That is all of it while nothing could be decided, as a feed has given nothing yet (`known`); else what lies past the
    moment up to which its table is decided (`decided_until`), or is too new to have lasted.
    """
    if any(name in known and known[name] is None for name in PER_COW):
        return Changes(everything=True)
    listed = tables.cows[COWS.happened].to_numpy(np.int64)
    behind = {name for name in PER_COW if len(listed) and int(listed[-1]) > decided_until[name]}
    lasting_s = max(map(longest_lasting_s, rules.values()), default=0)
    cows: set[str] = set()
    for name in PER_COW:
        frame = getattr(tables, name)
        moments = frame[table_named(name).happened].to_numpy(np.int64)
        cows |= set(frame["cow"].iloc[int(np.searchsorted(moments, decided_until[name] - lasting_s, side="left")) :])
    return Changes(behind_herd=frozenset(behind), cows=frozenset(cows))


def longest_lasting_s(rule: Rule) -> int:
    """How long it may take, in s, until what came raises an alert of this rule with nothing else coming."""
    return max([rule.lasting_s, *(one.lasting_s or 0 for one in rule.classes)])
