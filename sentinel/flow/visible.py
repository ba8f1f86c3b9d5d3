"""Text that somebody else wrote, made fit to show: characters that cannot be seen are written out.

A cow's name, a note or a file's name may hold anything. Sent to a terminal as it is, an escape sequence could colour,
move or rename what stands there, a line break could look like a line of sentinel's own, and a bidirectional override
could show a name backwards.
"""

from __future__ import annotations

import re
import unicodedata

SHORT = {"\n": "\\n", "\r": "\\r", "\t": "\\t"}
JOINERS = "\u200c\u200d"
"""Invisible, but letters of some scripts and many pictures are written with them, and they move nothing."""

_SUSPECT = re.compile(r"[^\x20-\x7e\u00a1-\u00ac\u00ae-\u02ff]")
"""Characters that need a closer look: not those of which every letter between these bounds is one to be seen."""

_HIDDEN = ("Cc", "Cf", "Cs", "Zl", "Zp")
"""Unicode's categories of control (C0, C1), format (bidirectional, zero-width, byte-order mark), lone surrogates, and
line and paragraph separators."""


def hides(character: str) -> bool:
    """Whether a character does something to the text around it instead of being seen, or ends a line."""
    return unicodedata.category(character) in _HIDDEN and character not in JOINERS


def visible(text: str) -> str:
    r"""A text on one line in which every control character, override and line break is written out.

    >>> print(visible("Daisy\x1b[31m\n"), visible("Daisy \u202e3 kg"), visible("Müller 7 °C"))
    Daisy\x1b[31m\n Daisy \u202e3 kg Müller 7 °C
    """
    return _SUSPECT.sub(lambda match: _written(match[0]), text)


def visible_json(text: str) -> str:
    r"""JSON of which no string holds such a character as it is; it means the same.

    >>> visible_json('"\u202e"') == '"' + chr(92) + 'u202e"'
    True
    """
    return _SUSPECT.sub(lambda match: _in_json(match[0]) if hides(match[0]) else match[0], text)


def _written(character: str) -> str:
    if not hides(character):
        return character
    number = ord(character)
    if character in SHORT:
        return SHORT[character]
    return f"\\x{number:02x}" if number < 0x100 else f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"


def _in_json(character: str) -> str:
    """The escapes of JSON know sixteen bits: what lies beyond is two of them."""
    number = ord(character)
    if number < 0x10000:
        return f"\\u{number:04x}"
    number -= 0x10000
    return f"\\u{0xD800 + (number >> 10):04x}\\u{0xDC00 + (number & 0x3FF):04x}"
