"""What is still open and unanswered, told by a channel that works again after notices to it were given up."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.language import told
from sentinel.flow.model import Alert, Notice
from sentinel.flow.notices.desk import Desk
from sentinel.flow.notices.wording import BOX_CAUTION, LOOK_FIRST_MOST, at_most, line_of, short
from sentinel.flow.schedule.sections import at_box
from sentinel.flow.settings.people import Person

STILL = "still"
"""The kind of this notice."""


def presses_still(alert: Alert, at: int) -> bool:
    """Whether an alert that was told stands, could not wait, is nobody's yet and is held back by nothing."""
    put_off = alert.lies_from is not None and alert.lies_from > at
    return (
        alert.standing and alert.urgency == "now" and not (alert.answered or alert.covered_by or put_off or alert.old)
    )


def still_notice(at: int, desk: Desk, person: Person, alerts: Sequence[Alert], since: int) -> Notice:
    """One notice of all of them as they are at `at`; `since`: when the first was written that never arrived."""
    words = desk.speaks()
    alerts = sorted(alerts, key=lambda alert: (alert.since, alert.id))
    n = len(alerts)
    title = (
        short(told(words, "Still: {what}", what=alerts[0].text))
        if n == 1
        else told(words, "{n} alerts still open", n=n)
    )
    when = words.time(since, at)
    body = [
        told(
            words,
            "Notices since {when} did not arrive here. These alerts are still open, and nobody has answered:",
            when=when,
        )
    ]
    if any(at_box(alert.subject, desk.boxes) for alert in alerts):
        body.append(words.say(BOX_CAUTION))
    body += at_most([f"- {line_of(alert, at, words)}" for alert in alerts], words)
    hints = (*alerts[0].caution, *alerts[0].look_first[:LOOK_FIRST_MOST]) if n == 1 else ()
    if hints:
        body += [words.say("Look first:"), *(f"- {hint}" for hint in hints)]
    return Notice(at, person.name, STILL, title, "\n".join(body), "now", tuple(alert.id for alert in alerts))
