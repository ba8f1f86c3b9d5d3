"""Texts as YAML: plain where that is safe, else in double quotes."""

from __future__ import annotations

import json
import re

_PLAIN = re.compile(r"[A-Za-zÀ-ÿ][\wÀ-ÿ ./()°-]*[\wÀ-ÿ)]|[A-Za-z]")
_YAML_WORDS = {"true", "false", "null", "yes", "no", "on", "off", "y", "n", "~"}


def quoted(text: str) -> str:
    """A text as YAML: plain where that is safe, else in double quotes.

    >>> quoted("Cow no"), quoted("no"), quoted("5: x")
    ('Cow no', '"no"', '"5: x"')
    """
    if _PLAIN.fullmatch(text) and text.lower() not in _YAML_WORDS and "  " not in text:
        return text
    return json.dumps(text, ensure_ascii=not text.isprintable())
