"""What the page may ask of the farm, and where what people say goes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.herd.history import HerdPast
from sentinel.flow.model import Alert, Answer, Chore
from sentinel.flow.reasons import Reason
from sentinel.flow.record.why import Why
from sentinel.flow.rules import Setting
from sentinel.flow.settings.farm import Farm
from sentinel.flow.tuning.edit import Prepared
from sentinel.flow.tuning.trial import Trial
from sentinel.flow.views.parts.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Access:
    """What somebody may do here: look, and unless `read_only`, answer; until `until` (None: no end is set)."""

    read_only: bool = False
    until: int | None = None


@dataclass(frozen=True, slots=True)
class Unkept:
    """Why a photo was not kept: it is no readable picture or, if `most_pixels` is set, it has more pixels than that."""

    most_pixels: int = 0


class FarmReader(Protocol):
    """What the page shows and where what people say goes; its functions are called from several threads."""

    def farm(self) -> Farm:
        """The farm's settings as they are now."""

    def health(self) -> Mapping[str, object]:
        """Whether sentinel itself is at work (`ok`), in a few plain values without names or secrets."""

    def troubles(self) -> list[str]:
        """What is the matter with sentinel itself now, a sentence each in the farm's language."""

    def snapshot(self) -> Snapshot:
        """The farm as it is known now."""

    def herd_past(self, snapshot: Snapshot) -> HerdPast:
        """What the herd's page shows of the past that is not in memory."""

    def alert(self, alert: int) -> Alert | None:
        """The alert with this number, standing or over."""

    def alerts_of(self, *subjects: str) -> tuple[Alert, ...]:
        """Every alert, standing or over, on these subjects; on all if none is named."""

    def told_next(self, alert: Alert) -> tuple[str, ...]:
        """Who was told about an alert, and who is told next and when, in sentences in the farm's language."""

    def why(self, alert: Alert) -> Why:
        """Why an alert came, and what became of it, put together again from what was known then."""

    def log(self, alert: int | None = None, kind: str = "", since: int = 0) -> list[Logged]:
        """The log in order: of one alert, of one kind, or all, from a moment on."""

    def set_aside(self) -> list[Mapping[str, object]]:
        """The rows set aside: feed, file, at, line, row, reason."""

    def access(self, person: str, link: int, begun: int) -> Access | None:
        """What a session of a person may do; None if it may do nothing any more.

        `link`: the number of their own link, 0 for a notice's, which was sent at `begun`.
        """

    def entered(self, link: int) -> None:
        """Somebody came in by their own link."""

    def said_of(self, number: str) -> str | None:
        """What was said to what a phone sent under this number; None if nothing arrived under it."""

    def said_at(self, number: str) -> int | None:
        """When what a phone sent under this number was made; None if nothing arrived under it."""

    def photo(self, name: str) -> bytes | None:
        """The photo of that name, as JPEG; None if there is none."""

    def put_photo(self, alert: Alert, person: str, content: bytes, number: str, at: int, reply: str) -> Unkept | None:
        """Keep a photo taken at `at` with its alert and say so in the log, each number once; or say why not.

        `reply`: what is answered to it, now and if it comes again.
        """

    def take(self, number: str, submission: Answer | Chore, reply: str) -> str | None:
        """Take what somebody said, once; if it has arrived before, what was said to it then."""

    def trial(self, rule: str) -> Trial | None:
        """A rule laid out to try its bound on the last two months; None if there is none, or its bound cannot be."""

    def may_tune(self, person: str) -> bool:
        """Whether a person may write another bound into the rules."""

    def prepare(self, rule: str, settings: Sequence[Setting], seen: Sequence[str] | None = None) -> Prepared | Reason:
        """What would be written for some keys of a rule; or why it cannot be: also if they are not as `seen`."""

    def put_back(self, rule: str, number: int) -> Prepared | Reason:
        """What would put back the edit of that number in the log, a rule's last one; or why it cannot be."""

    def write_rule(self, rule: str, what: Prepared, person: str, why: str, anyway: bool) -> Logged | Reason:
        """Write it, and into the log who did it and why; that entry, or why it was not written."""
