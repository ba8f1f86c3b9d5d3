"""Why something was set aside, refused, not delivered or ended, as a code and values, put into words where it is read.

What finds a reason (a feed map, a channel, an alert's rule) knows no language, and what stores it should not have
to read English to find out what was meant. So a reason is a code of the catalogue here and what is this row's or
channel's own: figures, names, and further reasons. The catalogue says each code in English, which is also the key of
the other languages. What a library said of a broken file is a value too, as it said it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from sentinel.flow.language.places import PLACE
from sentinel.flow.language.sentences import Said, joined, rendered
from sentinel.flow.language.words import Words

Value: TypeAlias = "str | int | Reason | tuple[Reason, ...]"
"""What a reason may hold: a text, a figure, a further reason, or several in a row (`parts` of a code in `JOINED`)."""

AS_SAID = "as-said"
"""The code of what somebody else said, in their words."""

SEVERAL, LISTED = "several", "listed"
JOINED: Mapping[str, str] = {SEVERAL: "; ", LISTED: ", "}
"""Codes that hold several reasons, and what stands between them."""

ENDS_IN_WHY = ("at-place", "item")
"""Codes whose sentence ends with that of the reason they hold."""

MOST_BYTES = 8192
"""No reason takes more as JSON: what would is kept as the English it says."""

CATALOGUE: Mapping[str, str] = {
    AS_SAID: "{text}",
    "at-place": "{place}: {why}",
    "with-hint": "{what} {hint}",
    "and-more": "and {n} more",
    "did-you-mean": "(did you mean {word}?)",
    "known-here": "(known here: {words})",
    # a whole file
    "titles-missing-one-column": "its titles lack {titles}; is the map's delimiter right?",
    "titles-missing": "its titles lack {titles}",
    "name-unlike-pattern": "its name does not fit the map's pattern {pattern}",
    "name-with-another": "its name says {found}, and the map knows only {words}",
    "file-empty": "it is empty; the column titles should be on line {n}",
    "file-too-short": "it has only {few|line|lines}; the column titles should be on line {n}",
    "titles-not-text": "its column titles are not {encoding} text; is the map's encoding right? (often it is cp1252)",
    "file-not-text": "it cannot be read as {encoding} text",
    "file-too-large": "it is larger than {size}",
    "too-many-rows": "it has more than {n} rows",
    "too-many-cells": "it has more than {n} cells",
    "too-many-titles": "it has more than {n} column titles",
    "ended-twice": "the program ended twice while reading it",
    "memory-full": "its rows would take more memory than is allowed; is it an export from this farm?",
    "reading-failed": "reading it failed ({detail})",
    "storing-failed": "it cannot be stored ({detail})",
    "unpacks-too-large": "it unpacks to more than {size}",
    "too-many-parts": "it has more than {n} parts, too many for an export",
    "row-number-too-large": "it has a row past number {n}",
    "unpacking-too-slow": "it takes more than {n} s to unpack",
    "unpacking-takes-memory": "it takes more than {size} of memory to unpack",
    "not-a-workbook": "it is not a workbook that can be read ({detail}); was it copied completely?",
    "sheet-misnamed": "it has no sheet {sheet} {hint}",
    "sheet-missing": "it has no sheet {sheet}",
    "no-sheet": "it has no sheet",
    "sheet-empty": "its sheet is empty; the column titles should be in row {n}",
    "sheet-too-short": "its sheet has only {few|row|rows}; the column titles should be in row {n}",
    "json-not-utf8": "it is not UTF-8 text, as JSON must be (byte {n})",
    "json-too-deep": "it is nested too deeply to be a list of resources of the standard",
    "json-broken-at": "it is not valid JSON: {detail} in line {n}; was it copied completely?",
    "json-broken": "it is not valid JSON: {detail}",
    "json-no-list": 'it has neither a list of resources of the standard nor an object whose "member" is one',
    "json-member-twice": 'it gives "member" twice',
    "json-too-much-besides": 'it holds more than {n} characters besides its "member"',
    "json-item-too-long": "it holds an item of more than {n} characters",
    # a row as it stands there
    "item": "item {n}: {why}",
    "cells-missing": "has {n|cell|cells} where the titles have {width}: it is cut short or has a line break inside",
    "cells-too-many": (
        "has {n|cell|cells} where the titles have {width}: is the delimiter or decimal mark inside a cell?"
    ),
    "row-not-text": "has bytes that are not {encoding} text; is the map's encoding right? (often it is cp1252)",
    "quote-never-closed": "a quote is opened and never closed",
    "cell-too-long": "has a cell of more than 131,072 characters",
    "quotes-senseless": "its quotes make no sense",
    "line-not-text": "has bytes that are not text in the map's encoding",
    "line-too-deep": "is nested too deeply",
    "line-too-many-values": "holds more than {n} values",
    "line-not-json": "is not valid JSON: {detail}",
    "line-not-object": "is JSON, but not an object with named values",
    "half-character": "holds half a character (a lone surrogate), which is not text",
    "not-an-object": "is not an object",
    "pages-missing": "pages {pages} of {n} of a collection never came (another page of it is {file})",
    "not-of-the-standard": "is a {kind}, which the ICAR ADE standard does not have",
    "quarter-unnamed": "{name}: icarQuarterId is missing: it is not said which quarter was measured",
    "quarter-twice": "{name}: {quarter} is given twice with different values, so neither is kept",
    "remark-unknown": "{name}: {word} is not a remark of the standard",
    "value-half-character": "{name}: holds half a character (a lone surrogate), which is not text",
    "value-not-an-object": "{name}: is not an object",
    "value-not-a-list": "{name}: is not a list",
    "value-too-many-entries": "{name}: has more than {n} entries",
    "value-empty": "{name}: is empty",
    "value-missing": "{name}: is missing",
    "conductivity-unit-unknown": "{name}: the unit {unit} is not known here (H61 is mS/cm)",
    "unit-unknown": "{name}: the unit {unit} is not known here (known: {words})",
    "dated-later": "the row is dated later than the arrival of its file",
    "impossible": (
        "{what}: {n|figure|figures} left out, as no such reading is possible (first {first}; possible is {range}); "
        "is it the sensor, the unit or the column?"
    ),
    "impossible-at-box": (
        "{what}: {n|figure|figures} left out, all at box {box}, as no such reading is possible (first {first}; "
        "possible is {range}); is it the sensor, the unit or the column?"
    ),
    # a cell
    "not-a-number-with-mark": "{what} is not a number with the decimal mark {mark}",
    "not-seconds": "{what} is not a number of seconds since 1970",
    "not-a-number": "{what} is not a number",
    "not-a-whole-number": "{what} is not a whole number",
    "number-too-large": "{what} is too large a number",
    "text-too-long": "{what} is longer than {n} characters",
    "not-a-time": "{what} is not a time",
    "not-a-duration": "{what} is not a duration written {form}",
    "not-an-iso-time": "{what} is not an ISO time (2026-03-28 06:30)",
    "not-a-time-like": "{what} is not a time like {form}",
    "word-misspelt": "{what} is not in the map's word table {hint}",
    "word-unknown": "{what} is not in the map's word table",
    "kind-unknown": "{what} is a kind of row that none of its feed maps takes",
    "time-skipped": "{when} does not exist: the clock skipped that hour in {zone}",
    "time-repeated": "{when} came twice: the clock repeated that hour in {zone}",
    "time-of-either-pass": "{when} came twice as the clock was put back, and nothing in the file says which it is",
    "not-a-time-of-day": "{what} is not a time of day",
    "ends-before-it-begins": "{end} is before {begin}, at which it began",
    "length-of-either-pass": "between {begin} and {end} the clock was put back, and nothing says how long it was",
    "not-on-this-farm": "{what} is not a moment on this farm",
    "key-empty": "{what} is empty, and without it rows of {table} cannot be told apart",
    "offset-missing": "{what} does not say its offset from UTC, as RFC 3339 must",
    # a channel
    "taken": "taken by the service",
    "address-missing": "no address is known for this channel",
    "address-unclear": "its address cannot be understood",
    "package-missing": "its address needs a package that is not installed: {packages}",
    "service-unusable": "its service cannot be used on this machine",
    "earlier-hangs": "not sent: an earlier message is still stuck",
    "over-never-told": "not sent: the alert that is over never arrived there",
    "settled": "not sent: by now it is over or answered",
    "sending-failed": "not sent ({kind})",
    "no-answer-within": "no answer within {n} s; it may still arrive",
    "no-answer": "no answer in time; it may still arrive",
    "not-taken": "the service did not take it",
    "no-connection": "no connection, or no sensible answer",
    "service-answered": "the service answered {n}",
    # the end of an alert
    "aged": "it was open for as long as its rule allows",
    "ended": "the condition ended",
    "unwatched": "it is no longer watched",
    "unused": "the rule is no longer in use",
    "other-subjects": "the rule was changed, and does not look at this by itself any more",
    "read-again": "what it was raised on was read again: {because}",
    # a past that is not put together again
    "past-unread": "nothing had been read yet then",
    "past-let-go": "what was known then was let go since, as farm.yaml says under keep",
    "past-no-settings": "the settings of that time were not kept",
    "past-settings": "the settings of that time can no longer be read: {detail}",
    "past-no-rule": "there was no rule {name} then; the rules were {names}",
    # a value that is not written into a rule
    "no-bound": "{key} cannot be written from here; only a bound and a length of time can: {keys}",
    "no-figure": "{value} is not a figure with its unit",
    "said-already": "the file says so already: {what}",
    "changed-meanwhile": "{key} is {now} by now, not {before}: it was changed meanwhile; look at it again",
    "file-not-whole": "the file is not whole; `sentinel check` says what is wrong with it",
    "rule-not-in-file": "{rule} does not stand in this file",
    "key-not-in-file": "{key} is not written in the file; write it there once by hand",
    "key-shared": "{key} is written once for several places; change it by hand",
    "nothing-to-undo": "nobody has written a value into {rule}; there is nothing to undo",
    "put-back-already": "what was last written into {rule} is already put back",
    "edited-again": "{rule} was changed again meanwhile; look at it again",
    "undo-by-hand": "{key} is {now} by now, not {after}; undo it by hand",
    "may-not-tune": '{person} may not change rules; "tunes: yes" in people.yaml says who may',
    "why-missing": "say why: somebody will want to know when a phone rang or did not",
    "example-fails": "an example of {rule} would no longer come out: {why}",
    "file-changed-meanwhile": "{file} was changed meanwhile; look at it again",
}
"""Each code's sentence in English. A code is never given another meaning, as stores hold it for years."""

EARLIER: Mapping[str, str] = {
    "unpacks-past-2-gb": "it unpacks to more than 2 GB, too much for an export",
    "animal-empty": "animal.id is empty",
    "not-a-visit": "is a {kind}, not a milking visit",
    "one-quarter-twice": "gives one quarter twice",
    "quarter-without-id": "icarQuarterId is missing: it is not said which quarter was measured",
    "value-missing-and-more": "{name}: is missing (and {n} more)",
}
"""The same of codes that nothing gives any more, and that only stores of earlier versions hold."""

_SENTENCES: Mapping[str, str] = {**CATALOGUE, **EARLIER}


@dataclass(frozen=True, slots=True, init=False)
class Reason:
    """Why something is as it is: a code of the catalogue, and by name the values that its sentence has places for.

    >>> str(Reason("item", n=3, why=Reason("not-a-number", what='"5,9x"')))
    'item 3: "5,9x" is not a number'
    """

    code: str
    values: tuple[tuple[str, Value], ...]

    def __init__(self, code: str, /, **values: Value) -> None:
        """The reason of that code with those values."""
        object.__setattr__(self, "code", code)
        object.__setattr__(self, "values", tuple(sorted(values.items())))

    def __str__(self) -> str:
        """In English."""
        return str(self.sentence())

    def sentence(self) -> Said:
        """The sentence, which can be said in any language."""
        if self.code in JOINED:
            return joined(JOINED[self.code], [part.sentence() for part in self.parts()])
        values = {name: value.sentence() if isinstance(value, Reason) else value for name, value in self.values}
        return Said(_SENTENCES[self.code], **values)

    def parts(self) -> Iterator[Reason]:
        """The reasons directly in it, in the order of its values."""
        for _, value in self.values:
            if isinstance(value, Reason):
                yield value
            elif isinstance(value, tuple):
                yield from value

    def with_texts(self, change: Callable[[str], str]) -> Reason:
        """The same with each text in it changed."""
        made: dict[str, Value] = {}
        for name, value in self.values:
            if isinstance(value, str):
                made[name] = change(value)
            elif isinstance(value, Reason):
                made[name] = value.with_texts(change)
            elif isinstance(value, tuple):
                made[name] = tuple([part.with_texts(change) for part in value])
            else:
                made[name] = value
        return Reason(self.code, **made)


class Unreadable(ValueError):
    """Something of an export cannot be read; `reason` says why."""

    def __init__(self, reason: Reason) -> None:
        super().__init__(reason)
        self.reason = reason


def as_said(text: str) -> Reason:
    """What somebody else said, in their words."""
    return Reason(AS_SAID, text=text)


def reason_of(error: Exception) -> Reason:
    """Why something failed: the reason that the error carries, or what it says.

    >>> str(reason_of(ValueError("no such day")))
    'no such day'
    """
    return error.reason if isinstance(error, Unreadable) else as_said(str(error))


def several(reasons: list[Reason], code: str = SEVERAL) -> Reason:
    """Some reasons as one; one alone is itself."""
    return reasons[0] if len(reasons) == 1 else Reason(code, parts=tuple(reasons))


def in_words(reason: Reason | None, words: Words) -> str:
    """A reason as it is said to the farm; "" if there is none."""
    return "" if reason is None else str(rendered(reason.sentence(), words))


def in_english(reason: Reason | None) -> str:
    """A reason in English, as the log and the terminal have it; "" if there is none."""
    return "" if reason is None else str(reason)


def bounded(reason: Reason, most: int) -> Reason:
    """A reason cut so that its English is at most `most` characters long, and its JSON `MOST_BYTES`.

    Of several the first stay whole; what is cut through is kept as the beginning of its English.
    """
    whole = str(reason)
    shortened = reason if len(whole) <= most else _cut(reason, most)
    return shortened if len(to_json(shortened).encode()) <= MOST_BYTES else as_said(whole[:most])


def _cut(reason: Reason, most: int) -> Reason:
    """A reason that is too long, to the length of its English."""
    if reason.code in JOINED:
        kept, left = [], most
        for part in reason.parts():
            length = len(str(part))
            if length > left:
                kept += [_cut(part, left)] if left > 0 else []
                break
            kept.append(part)
            left -= length + len(JOINED[reason.code])
        return Reason(reason.code, parts=tuple(kept))
    whole = str(reason)
    if reason.code in ENDS_IN_WHY:
        [why] = reason.parts()
        begun = len(whole) - len(str(why))
        if begun < most:
            return Reason(reason.code, **{**dict(reason.values), "why": _cut(why, most - begun)})
    return as_said(whole[:most])


# --- as it is stored ---------------------------------------------------------------------------------------------


def to_json(reason: Reason | None) -> str:
    """A reason as a store keeps it, always the same for the same reason; "" for none.

    >>> to_json(Reason("item", n=3, why=Reason("not-an-object")))
    '{"code":"item","n":3,"why":{"code":"not-an-object"}}'
    """
    return "" if reason is None else json.dumps(_plain(reason), ensure_ascii=False, separators=(",", ":"))


def _plain(value: object) -> object:
    if isinstance(value, Reason):
        return {"code": value.code, **{name: _plain(one) for name, one in value.values}}
    return [_plain(one) for one in value] if isinstance(value, tuple) else value


def from_json(text: str) -> Reason | None:
    """The reason that a store keeps; None for "". What is no reason that is known here is what it says.

    >>> from_json('{"code":"not-a-number","what":"5,9x"}') == Reason("not-a-number", what="5,9x")
    True
    >>> str(from_json("no reason"))
    'no reason'
    """
    if not text:
        return None
    try:
        return _read(json.loads(text))
    except (ValueError, RecursionError):
        return as_said(text)


def _read(given: object) -> Reason:
    """A reason from plain values; raises ValueError if it is none."""
    if not isinstance(given, dict) or not isinstance(given.get("code"), str):
        raise ValueError("a reason has a code")
    code = given["code"]
    values = {name: _value(one) for name, one in given.items() if name != "code"}
    if set(values) != places(code):
        raise ValueError(f"{code} has other values")
    if code in JOINED and not isinstance(values["parts"], tuple):
        raise ValueError(f"{code} has parts")
    return Reason(code, **values)


def _value(given: object) -> Value:
    if isinstance(given, dict):
        return _read(given)
    if isinstance(given, list):
        return tuple([_read(one) for one in given])
    if isinstance(given, str | int):
        return given
    raise ValueError("a reason holds texts, figures and reasons")


def places(code: str) -> set[str]:
    """The values that a code's sentence has places for; raises ValueError for a code that is not known."""
    if code in JOINED:
        return {"parts"}
    if code not in _SENTENCES:
        raise ValueError(f"{code} is not known")
    return {match[1] for match in PLACE.finditer(_SENTENCES[code])}
