"""The codes of the views in plain English, as the catalogues translate them."""

from __future__ import annotations

from collections.abc import Mapping

LABELS: Mapping[str, Mapping[str, str]] = {
    "place": {
        "pressing": "Cannot wait",
        "boxes": "Boxes",
        "yard": "Yard",
        "field": "Field",
        "tank": "Tank",
        "office": "Office",
    },
    "urgency": {"now": "cannot wait", "round": "for the round", "log": "only noted"},
    "state": {"open": "open", "done": "done", "over": "over"},
    "do": {"chore": "Do", "wire": "Move the wire", "bring": "Bring in", "look": "Look at"},
    "chore": {
        "filter": "filter",
        "wash": "wash",
        "optics": "optics",
        "arm": "arm",
        "wire": "wire",
    },
    "suspect": {"arm": "the arm", "optics": "the optics", "cow": "the cow", "herd": "the herd", "unknown": "not known"},
    "kind": {
        "start": "started",
        "stop": "stopped",
        "read": "read",
        "set-aside": "set aside",
        "correction": "corrected",
        "rules-changed": "rules changed",
        "rules-broken": "rules with an error",
        "raised": "raised",
        "again": "again",
        "more-pressing": "more pressing",
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
        "over": "over",
        "problem": "problem",
    },
    "event": {
        "filter_changed": "filter changed",
        "washed": "washed",
        "optics_cleaned": "optics cleaned",
        "arm_calibrated": "arm position set",
        "stopped": "stopped",
        "started": "started",
        "fault": "fault",
    },
    "status": {"milking": "in milk", "dry": "dry", "withheld": "milk kept apart", "gone": "gone"},
    "outcome": {"milked": "milked", "incomplete": "incomplete", "failed": "failed", "refused": "refused"},
    "quarter": {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"},
    "column": {
        "number": "number",
        "time": "time",
        "kind": "kind",
        "alert": "alert",
        "rule": "rule",
        "subject": "subject",
        "person": "person",
        "what": "what",
    },
}
"""What a code means, by its group."""
