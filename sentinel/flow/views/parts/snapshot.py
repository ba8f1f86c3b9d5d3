"""The farm as it is known at one moment: what every screen is made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sentinel.flow.language.words import ENGLISH, Words
from sentinel.flow.model import Alert
from sentinel.flow.rules import Rule
from sentinel.flow.settings.farm import Farm
from sentinel.flow.tables import Tables


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The farm at `at` (UTC seconds): its settings, the rows known, and the alerts that stand or ended lately.

    `words`: those in which it is shown. `person`: who looks at it; `office`: whose list has the files that could not be
    read wholly (see `schedule.sections`).
    """

    at: int
    farm: Farm
    people: tuple[str, ...]
    rules: Mapping[str, Rule]
    tables: Tables
    alerts: tuple[Alert, ...]
    words: Words = ENGLISH
    person: str = ""
    office: tuple[str, ...] = ()
