"""The README's walk-throughs, as they stand there."""

from __future__ import annotations

import re
from pathlib import Path

README = Path(__file__).resolve().parents[3] / "README.md"
FARM = "/tmp/demo-farm"


def walk() -> list[tuple[str, list[str]]]:
    """The README's walk-throughs: each block of commands, and the lines that are shown of what it prints."""
    found = re.findall(r"^```(bash|text)\n(.*?)^```$", README.read_text(encoding="utf-8"), re.M | re.S)
    steps: list[tuple[str, list[str]]] = []
    for language, text in found:
        if language == "bash":
            steps.append((text, []))
        else:
            steps[-1][1].extend(text.splitlines())
    return steps


def plain(text: str) -> str:
    """Text without frames, and with one space between words."""
    return " ".join(re.sub(r"[\u2500-\u257f]", " ", text).split())
