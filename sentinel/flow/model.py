"""The nouns every room shares: times, subjects, problems, batches, ticks, verdicts.

Times are whole seconds since 1970-01-01 UTC (`int`); a person sees them in the farm's zone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from sentinel.flow.again_and_pages import Page, Reread
from sentinel.flow.reasons import Reason

QUARTERS = ("LF", "RF", "LR", "RR")
"""Left front, right front, left rear, right rear: the quarter codes of the ICAR ADE standard."""

HOUR_S = 3600
DAY_S = 86400

Subject = str
"""What a reading or an alert is about, written `kind:name`: `cow:217`, `quarter:217/LF`, `box:2`, `herd`."""


def kind_of(subject: Subject) -> str:
    """The part of a subject before the colon.

    >>> kind_of("quarter:217/LF"), kind_of("herd")
    ('quarter', 'herd')
    """
    return subject.partition(":")[0]


def name_of(subject: Subject) -> str:
    """The part of a subject after the colon; empty for `herd`.

    >>> name_of("quarter:217/LF"), name_of("herd")
    ('217/LF', '')
    """
    return subject.partition(":")[2]


@dataclass(frozen=True, slots=True, order=True)
class Source:
    """Where something was read: a file and, if known, its line and column (both from 1)."""

    name: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        """`name:line:column`, leaving out what is not known."""
        return ":".join([self.name, *(str(n) for n in (self.line, self.column) if n)])


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong with data, a map or a rule: a value to collect and show, never raised.

    >>> print(Problem(Source("rules/udder.yaml", 12, 5), 'raise_ovr: unknown key (did you mean "raise_over"?)'))
    rules/udder.yaml:12:5: raise_ovr: unknown key (did you mean "raise_over"?)
    """

    source: Source
    message: str

    def __str__(self) -> str:
        """`file:line:column: message`."""
        return f"{self.source}: {self.message}"


# --- what comes out of an export -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Export:
    """One complete export file, or the complete lines appended to it since it was last read.

    `name` is its path under the inbox folder with forward slashes. `content` is always the whole file from
    its first byte up to the last complete line; rows that begin before byte `read_from` were read earlier and
    are not read again (0 reads everything; only delimited text and JSON lines are ever read from the middle).
    `modified_at` is the file's own modification time in UTC seconds.
    """

    name: str
    content: bytes
    modified_at: int
    read_from: int = 0


@dataclass(frozen=True, slots=True)
class Rows:
    """Tidy rows for one table, all with the same columns.

    `columns` are names declared in `sentinel.flow.tables` plus, where the export has them, `modified` (UTC
    seconds; an older version never replaces a newer one) and `deleted` (True: the row was withdrawn). A column
    that the export does not carry is left out, so that it keeps what another export said. `None` is "missing".
    Times are UTC seconds, text is `str`, numbers are plain `float`/`int`, never NumPy scalars.
    `lines[i]` is the line (from 1) in the file that `values[i]` came from; for XLSX the sheet row, for JSON the
    item's number.
    """

    table: str
    columns: tuple[str, ...]
    values: tuple[tuple[Any, ...], ...]
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SetAside:
    """Something of an export that could not be read: a row, some cells of it, or with `line` 0 a whole file.

    `reason` says why, None where it is not kept; `row` is the raw text of the row (cut at 2,000 characters). `kept`:
    the row was stored without the cells that the reason names; otherwise nothing of it was.

    What can be told of it all the same, so that it counts as something that may have happened: `tab` is the table that
    it would have been a row of, `who` the cow's or box's name (the first part of that table's key) and `box` the box,
    both "" where they could not be read; it happened between `begin` and `end` (UTC seconds), each None if not even
    that can be told.
    """

    line: int
    row: str
    reason: Reason | None
    kept: bool = False
    tab: str = ""
    who: str = ""
    box: str = ""
    begin: int | None = None
    end: int | None = None


@dataclass(frozen=True, slots=True)
class Batch:
    """Everything one export file gave: tidy rows by table, and what was set aside.

    `complete_until`: if the feed map says that the file's own stamp promises completeness, that moment;
    otherwise None and the feed is known until its newest row. `rows_read` and `newest` (the moment of the newest
    row) are only given when a recorded file is told again without the rows that changed nothing. `continues`: only
    lines appended to a file read before. Rows of `visits` may carry wide quarter columns
    (`sentinel.flow.tables.wide`) besides or instead of rows of `quarters`.

    `page`: it is one page of several, and its rows tell no further than those of the pages before. `besides`: what the
    same file gave for further feeds.

    With `reread` it was read before, or, if that names files, it is no export: its rows are what the feed no longer
    says, with `deleted` those that it no longer tells, else the columns, all empty, that it no longer carries.
    """

    feed: str
    file: str
    rows: tuple[Rows, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    complete_until: int | None = None
    sha256: str = ""
    rows_read: int | None = None
    continues: bool = False
    newest: int | None = None
    reread: Reread | None = None
    page: Page | None = None
    besides: tuple[Batch, ...] = ()

    @property
    def every(self) -> tuple[Batch, ...]:
        """It, and what the file gave for other feeds."""
        return (self, *self.besides)

    @property
    def takes_back(self) -> bool:
        """Whether it is what a feed no longer says, and no export."""
        return self.reread is not None and self.reread.files is not None


# --- what a person says ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Answer:
    """A person's acknowledgement of an alert, with what they found (our word for it is *answer*).

    `at` is when they answered; `finding` is one of the rule's own short list or free text; `""` is "seen".
    With `until` or `hand_to` it is no answer yet: the person puts the alert off until that moment, or hands it to
    another person.
    """

    alert: int
    at: int
    person: str
    finding: str = ""
    note: str = ""
    until: int | None = None
    hand_to: str = ""


@dataclass(frozen=True, slots=True)
class Chore:
    """A chore a person did: `chore` and `place` as in `chore:filter/2` (place may be empty).

    With `undoes` it was not: the person takes back what was recorded as done at that moment (UTC seconds).
    """

    chore: str
    place: str
    at: int
    person: str
    note: str = ""
    undoes: int | None = None


@dataclass(frozen=True, slots=True)
class Delivery:
    """How one notice to one channel ended: `outcome` is `delivered` or `gave_up`; `detail` what the channel said."""

    notice: str
    channel: str
    at: int
    outcome: str
    detail: Reason | None = None


class TickKind(StrEnum):
    """Why a tick happened; only for the log."""

    START = "start"
    RUN = "run"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class Tick:
    """The only input: a moment, the exports first known at it, and what people said since the last one.

    `jumped_s`: by how much the clock was put ahead since, or back (negative; the moment may then be before the last).
    """

    at: int
    kind: TickKind = TickKind.RUN
    batches: tuple[Batch, ...] = ()
    answers: tuple[Answer, ...] = ()
    chores: tuple[Chore, ...] = ()
    deliveries: tuple[Delivery, ...] = ()
    jumped_s: int = 0

    @property
    def has_inputs(self) -> bool:
        """Whether it brings something that people or channels said."""
        return bool(self.answers or self.chores or self.deliveries)


# --- what is decided -------------------------------------------------------------------------------------


class State(StrEnum):
    """The three answers a rule can give."""

    HOLDS = "holds"
    CLEAR = "clear"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one rule says of one subject at a moment.

    `value` is in the measure's unit at the moment of decision; `since` is the data's own moment from which the
    condition has held (UTC seconds); `urgency` is the one that applies now; `facts` fill the rule's sentence;
    `why` says why it is unknown.
    """

    rule: str
    subject: Subject
    state: State
    value: float | None = None
    since: int | None = None
    urgency: str = "log"
    facts: Mapping[str, Any] = field(default_factory=dict)
    why: str = ""


# --- what is remembered ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Alert:
    """One alert's whole state: a suggestion to look, standing until its condition ends.

    `raised_at` is the moment of decision; `since`, shown as such wherever an alert is, is when the trouble began in the
    data: the moment from which the condition has held (of a late cow, when she passed her bound).
    `value` is the latest value in the measure's unit, `facts` the figures behind it, `text` the rule's sentence,
    `look_first` what to look at first.
    `covered_by` names the standing alerts that hold back its pushes (`box-quiet box:2`). `over_why`: why it ended.
    `again` counts how often it came back within the rule's `again_within`, `came_at` when it last did. Somebody who put
    it off, or to whom it was handed, is `lies_with`, and told of it (again) from `lies_from` on; until then nobody is.
    `caution` is what to mind before anything else. `raised_value` is the value it was raised with, or became more
    pressing or came again with, and `worst_value` the worst from then on; `course` says both beside the present one
    where they differ, and which way it goes; `eased` is the bound past which it could not wait, in words, once the
    value has come back within it.
    `suspect` is the likeliest of the suspects that it was raised with, "" if it has none; `incident` the number of the
    alert that founded the incident it belongs to (`flow/alerts/incidents`), 0 until that is known, and `incident_at`
    where that one was raised, if it was not at this one's place.
    """

    id: int
    rule: str
    subject: Subject
    raised_at: int
    since: int
    urgency: str
    text: str
    value: float | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)
    look_first: tuple[str, ...] = ()
    over_at: int | None = None
    over_why: Reason | None = None
    answered_at: int | None = None
    answered_by: str = ""
    finding: str = ""
    note: str = ""
    covered_by: tuple[str, ...] = ()
    again: int = 0
    came_at: int | None = None
    lies_with: str = ""
    lies_from: int | None = None
    caution: tuple[str, ...] = ()
    raised_value: float | None = None
    worst_value: float | None = None
    course: str = ""
    eased: str = ""
    suspect: str = ""
    incident: int = 0
    incident_at: Subject = ""

    @property
    def came(self) -> int:
        """When it was raised, or last came again."""
        return self.raised_at if self.came_at is None else self.came_at

    @property
    def standing(self) -> bool:
        """Whether its condition has not ended."""
        return self.over_at is None

    @property
    def old(self) -> bool:
        """Whether it rests on data that had stopped before it was raised: it is shown, and never pushed."""
        return "old_since" in self.facts

    @property
    def listed(self) -> bool:
        """Whether it has a line of its own: an alert on a feed or a rule that a quiet feed explains has none."""
        return not (self.covered_by and kind_of(self.subject) in ("feed", "rule"))

    @property
    def answered(self) -> bool:
        """Whether somebody has answered it."""
        return self.answered_at is not None


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the append-only log. `kind` is one of `alerts.chain.ENTRY_KINDS`; `body` holds plain JSON values."""

    at: int
    kind: str
    alert: int | None = None
    rule: str = ""
    subject: Subject = ""
    person: str = ""
    body: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Notice:
    """A message for one person, before any channel is chosen.

    `kind`: `alert`, `handed-on` (nobody before answered), `lies-with` (put off until now, or handed over), `reminder`,
    `over`, `worklist`, `herd-week`, `digest`, `still` (what was given up on a channel that works again).
    `id` is given when it is stored and stays the same however often it is sent. `put_back`: `at` was, with the clock.
    """

    at: int
    person: str
    kind: str
    title: str
    body: str
    urgency: str
    alerts: tuple[int, ...] = ()
    id: str = ""
    put_back: bool = False
