"""The log, chosen by time, kind, subject, person, finding, rule or alert."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import Entry, Subject, name_of
from sentinel.flow.ordering import in_order
from sentinel.flow.subjects import belongs_to


@dataclass(frozen=True, slots=True)
class Choice:
    """What to show of the log; what is empty or None chooses everything.

    `since` and `until` bound the entry's moment (both included). `subject` may be a whole subject (`cow:217` takes her
    quarters along, `box:2` its chores) or only a number or a word of its name. `finding` chooses answers that gave it.
    """

    since: int | None = None
    until: int | None = None
    kind: str = ""
    subject: str = ""
    person: str = ""
    finding: str = ""
    rule: str = ""
    alert: int | None = None

    def takes(self, entry: Entry) -> bool:
        """Whether an entry is chosen."""
        return (
            (self.since is None or entry.at >= self.since)
            and (self.until is None or entry.at <= self.until)
            and self.kind in ("", entry.kind)
            and self.person in ("", entry.person)
            and self.rule in ("", entry.rule)
            and self.alert in (None, entry.alert)
            and (not self.subject or about(entry.subject, self.subject))
            and (not self.finding or (entry.kind == "answer" and entry.body.get("finding") == self.finding))
        )


@dataclass(frozen=True, slots=True)
class Choices:
    """What there is to choose from in some entries, each in order."""

    kinds: tuple[str, ...]
    persons: tuple[str, ...]
    findings: tuple[str, ...]
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """The chosen entries, newest first, up to a limit; `more` are older. `choices` are those of all entries."""

    entries: tuple[Logged, ...]
    more: int
    choices: Choices


def history_page(log: Iterable[Logged], choice: Choice, most: int = 200) -> HistoryPage:
    """A page of the log. Of one alert the whole story is told, in the order in which it happened."""
    everything = list(log)
    entries = chosen(everything, choice)
    if choice.alert is not None:
        return HistoryPage(tuple(entries), 0, choices(everything))
    return HistoryPage(
        tuple(reversed(entries[-most:])) if most else (), max(0, len(entries) - most), choices(everything)
    )


def chosen(log: Iterable[Logged], choice: Choice) -> list[Logged]:
    """The chosen entries in the log's order."""
    return sorted((one for one in log if choice.takes(one.entry)), key=lambda one: one.seq)


def choices(log: Iterable[Logged]) -> Choices:
    """What some entries give to choose from."""
    entries = [one.entry for one in log]
    findings = {str(e.body.get("finding") or "") for e in entries if e.kind == "answer"}
    return Choices(
        tuple(sorted({e.kind for e in entries})),
        tuple(sorted({e.person for e in entries} - {""})),
        tuple(sorted(findings - {""})),
        tuple(in_order({e.rule for e in entries} - {""})),
    )


def about(subject: Subject, asked: str) -> bool:
    """Whether a subject is about what was asked.

    >>> [about("quarter:217/LF", asked) for asked in ("cow:217", "217", "217/LF", "quarter:217/LF", "21", "box:2")]
    [True, True, True, True, False, False]
    >>> about("chore:filter/2", "box:2"), about("chore:filter/2", "filter"), about("box:2", "box 2")
    (True, True, True)
    """
    name = name_of(subject)
    asked = asked.strip().lower()
    names = {subject, name, *name.split("/", 1), *belongs_to(subject)}
    return bool({asked, asked.replace(" ", ":", 1)} & {one.lower() for one in names if one})
