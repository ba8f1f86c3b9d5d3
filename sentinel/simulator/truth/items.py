"""The ground truth: what is true of a simulated herd, as plain values for `truth.json`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from sentinel.simulator.local_time import rfc3339


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that is true: what, of whom, from when until when, and what a good operator would do.

    `rules` are the shipped rules that should speak of it; empty if all should stay quiet. What happened to a file has
    that file as its subject (`file:FEED/NAME`); `rows-set-aside` tells of it by its feed and the cause.
    """

    kind: str
    subject: str
    start: int
    until: int | None
    rules: tuple[str, ...]
    expect: str
    figures: Mapping[str, Any] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """The item as JSON values, with times in RFC 3339 UTC."""
        return {
            "kind": self.kind,
            "subject": self.subject,
            "from": rfc3339(self.start),
            "until": None if self.until is None else rfc3339(self.until),
            "rules": list(self.rules),
            "expect": self.expect,
            "figures": dict(self.figures),
        }


def truth_text(truth: Mapping[str, Any]) -> bytes:
    """The truth as JSON, one item or parameter a line."""
    parts = []
    for key, value in truth.items():
        if isinstance(value, list):
            lines = ",\n".join("    " + json.dumps(one, ensure_ascii=False) for one in value)
            parts.append(f"  {json.dumps(key)}: [\n{lines}\n  ]")
        else:
            parts.append(f"  {json.dumps(key)}: {json.dumps(value, ensure_ascii=False)}")
    return ("{\n" + ",\n".join(parts) + "\n}\n").encode()
