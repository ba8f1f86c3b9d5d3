"""What a draft of a map left open: the words QUESTION and FILL IN, wherever in the file they stand."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from sentinel.flow.bounds import cut
from sentinel.flow.model import Problem, Source

OPEN_QUESTION, TO_FILL_IN = "an open question", "something to fill in"
"""With what such a finding begins."""

_OPEN = re.compile(r"\b(QUESTION|FILL IN)\b:?\s*")
_LONGEST, _LONGEST_KEY = 160, 40
_MOST = 40
"""So many of one file are told."""


def open_questions(texts: Mapping[str, str]) -> Iterator[Problem]:
    """Every line of a map that still asks something, with what it asks; `texts` are the maps by name."""
    for name in sorted(texts):
        found = 0
        for number, line in enumerate(texts[name].splitlines(), 1):
            match = _OPEN.search(line)
            if match is None or found >= _MOST:
                continue
            found += 1
            asked = cut(line[match.end() :].strip(), _LONGEST)
            about = cut(line[: match.start()].strip(" #-").partition(":")[0].strip(), _LONGEST_KEY)
            about = (f" at {about}" if about else "") + (f": {asked}" if asked else "")
            what, do = (
                (OPEN_QUESTION, "answer it, then take the remark away")
                if match[1] == "QUESTION"
                else (TO_FILL_IN, "write it, then take the words FILL IN away")
            )
            yield Problem(Source(name, number, match.start() + 1), f"{what}{about}; {do}")
