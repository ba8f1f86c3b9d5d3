"""The codes of the views in plain English, as the catalogues translate them."""

from __future__ import annotations

from collections.abc import Mapping

from sentinel.flow.subjects import KINDS, PACES, PLACES, PRESSING, QUARTER_NAMES, USUAL_CHORES, YES_NO

LABELS: Mapping[str, Mapping[str, str]] = {
    "place": {place.code: place.label for place in (PRESSING, *PLACES)},
    "urgency": {"now": "cannot wait", "round": "for the round", "log": "log only"},
    "state": {"open": "open", "done": "done", "over": "over"},
    "do": {"chore": "Do", "wire": "Move the wire", "bring": "Bring in", "look": "Look at"},
    "chore": {chore: chore for chore in USUAL_CHORES},
    "suspect": {"arm": "the arm", "optics": "the optics", "cow": "the cow", "herd": "the herd", "unknown": "not known"},
    "kind": {
        "start": "started",
        "stop": "stopped",
        "read": "read",
        "clock-jump": "clock",
        "set-aside": "set aside",
        "correction": "corrected",
        "rules-changed": "rules changed",
        "rules-broken": "rules with an error",
        "raised": "raised",
        "again": "again",
        "more-pressing": "more urgent",
        "held-back": "held back",
        "let-through": "let through",
        "notice": "notice",
        "reminder": "reminder",
        "delivered": "delivered",
        "gave-up": "not delivered",
        "answer": "answer",
        "put-off": "put off",
        "handed": "handed over",
        "chore": "chore",
        "photo": "photo",
        "over": "over",
        "problem": "problem",
    },
    "event": {
        "filter_changed": "filter changed",
        "washed": "washed",
        "optics_cleaned": "optics cleaned",
        "arm_calibrated": "arm calibrated",
        "stopped": "stopped",
        "started": "started",
        "fault": "fault",
    },
    "status": {"milking": "in milk", "dry": "dry", "withheld": "milk withheld", "gone": "gone"},
    "outcome": {
        "milked": "milked",
        "incomplete": "incomplete",
        "failed": "failed",
        "refused": "refused",
        "not_due": "not due",
        "not_admitted": "not admitted",
        "not_whole": "not whole",
        "unknown": "could not be read",
    },
    "quarter": QUARTER_NAMES,
    "planned": {answer: answer for answer in YES_NO},
    "pace": {pace: pace for pace in PACES},
    "fault": {
        "cup_off": "cup came off early",
        "cup_perhaps_off": "cut short, cup not known",
        "impossible": "impossible reading",
        "stuck": "sensor at fault",
        "too_few": "too few milkings yet",
        "no_reading": "no reading",
    },
    "threshold": {"raise": "raised", "now": "cannot wait", "clear": "cleared"},
    "per": {kind.name: kind.each for kind in KINDS},
    "attribute": {one.name: one.label for kind in KINDS for one in kind.attributes},
}
"""What a code means, by its group."""
