"""Reasons as schema 6 kept them, as English sentences, and the code and values of each, for the one migration from it.

This is data of the past: it says what stood in those stores, and never changes with what is said today. A text that is
none of the sentences, such as what a library said of a broken file, becomes a reason that is as it was said.
"""

from __future__ import annotations

import json
import re
from functools import lru_cache

LONGEST = 1000
"""So many characters of a text were shown, however long an even older version had kept it."""

PLACE = re.compile(r"\{([a-z]+)(\|[^{}]+)?\}")
HINT = r"\(.+\)"
WITHIN = ("why", "hint")
"""Places that hold a sentence themselves."""

WHOLE = ("n", "few", "width")
"""Places that hold a whole number."""

MARKED = (
    "too-many-rows", "too-many-cells", "too-many-titles", "too-many-parts", "row-number-too-large",
    "unpacking-too-slow", "json-too-much-besides", "json-item-too-long", "line-too-many-values", "text-too-long",
    "no-answer-within",
)  # fmt: skip
"""Codes whose figure stays a text, as it may be written with marks."""

ITEM = re.compile(r"item ([0-9]{1,9}): (.+)", re.DOTALL)
"""One item of a list; what comes after may be several reasons."""

TITLE = re.compile(r'("[^"]*")(: )')
SEVERAL = re.compile(r'; (?="[^"]*": |and [0-9]+ more$)')
"""Between the reasons of one row, each of which begins with the title of its cell."""

SENTENCES: tuple[tuple[str, str], ...] = (
    ("titles-missing-one-column", "its titles lack {titles}; is the map's delimiter right?"),
    ("titles-missing", "its titles lack {titles}"),
    ("name-unlike-pattern", "its name does not fit the map's pattern {pattern}"),
    ("file-empty", "it is empty; the column titles should stand on line {n}"),
    ("file-too-short", "it has only {few|line|lines}; the column titles should stand on line {n}"),
    ("titles-not-text", "its column titles are not {encoding} text; is the map's encoding right? (often it is cp1252)"),
    ("file-not-text", "it cannot be read as {encoding} text"),
    ("file-too-large", "it is larger than {size}"),
    ("too-many-rows", "it has more than {n} rows"),
    ("too-many-cells", "it has more than {n} cells"),
    ("too-many-titles", "it has more than {n} column titles"),
    ("ended-twice", "the program ended twice while reading it"),
    ("memory-full", "with its rows there would be more than the memory may hold; is it an export of this farm?"),
    ("reading-failed", "reading it failed ({detail})"),
    ("storing-failed", "it cannot be stored ({detail})"),
    ("unpacks-past-2-gb", "it unpacks to more than 2 GB, which is no export"),
    ("unpacks-too-large", "it unpacks to more than {size}"),
    ("too-many-parts", "it has more than {n} parts, which is no export"),
    ("row-number-too-large", "it has a row past number {n}"),
    ("unpacking-too-slow", "it takes more than {n} s to unpack"),
    ("unpacking-takes-memory", "it takes more than {size} of memory to unpack"),
    ("not-a-workbook", "it is not a workbook that can be read ({detail}); was it copied completely?"),
    ("sheet-misnamed", "it has no sheet {sheet} {hint}"),
    ("sheet-missing", "it has no sheet {sheet}"),
    ("no-sheet", "it has no sheet"),
    ("sheet-empty", "its sheet is empty; the column titles should stand in row {n}"),
    ("sheet-too-short", "its sheet has only {few|row|rows}; the column titles should stand in row {n}"),
    ("json-not-utf8", "it is not UTF-8 text, as JSON must be (byte {n})"),
    ("json-too-deep", "it is nested too deeply to be a list of milking visits"),
    ("json-broken-at", "it is not valid JSON: {detail} in line {n}; was it copied completely?"),
    ("json-broken", "it is not valid JSON: {detail}"),
    ("json-no-list", 'it has neither a list of milking visits nor an object whose "member" is one'),
    ("json-member-twice", 'it gives "member" twice'),
    ("json-too-much-besides", 'it holds more than {n} characters besides its "member"'),
    ("json-item-too-long", "it holds an item of more than {n} characters"),
    ("item", "item {n}: {why}"),
    ("cells-missing", "has {n|cell|cells} where the titles have {width}: it is cut short or has a line break inside"),
    (
        "cells-too-many",
        "has {n|cell|cells} where the titles have {width}: is the delimiter or decimal mark inside a cell?",
    ),
    ("row-not-text", "has bytes that are not {encoding} text; is the map's encoding right? (often it is cp1252)"),
    ("quote-never-closed", "a quote is opened and never closed"),
    ("cell-too-long", "has a cell of more than 131,072 characters"),
    ("quotes-senseless", "its quotes make no sense"),
    ("line-not-text", "has bytes that are not text in the map's encoding"),
    ("line-too-deep", "is nested too deeply"),
    ("line-too-many-values", "holds more than {n} values"),
    ("line-not-json", "is not valid JSON: {detail}"),
    ("line-not-object", "is JSON, but not an object with named values"),
    ("half-character", "holds half a character (a lone surrogate), which no text may"),
    ("not-an-object", "is not an object"),
    ("not-a-visit", "is a {kind}, not a milking visit"),
    ("animal-empty", "animal.id is empty"),
    ("one-quarter-twice", "gives one quarter twice"),
    ("quarter-without-id", "icarQuarterId is missing: it is not said which quarter was measured"),
    ("quarter-unnamed", "{name}: icarQuarterId is missing: it is not said which quarter was measured"),
    ("quarter-twice", "{name}: {quarter} is given twice and not alike, so neither is kept"),
    ("remark-unknown", "{name}: {word} is not a remark of the standard"),
    ("value-half-character", "{name}: holds half a character (a lone surrogate), which no text may"),
    ("value-not-an-object", "{name}: is not an object"),
    ("value-not-a-list", "{name}: is not a list"),
    ("value-too-many-entries", "{name}: has more than {n} entries"),
    ("value-empty", "{name}: is empty"),
    ("dated-later", "the row is dated later than the moment its file arrived"),
    ("not-a-number-with-mark", "{what} is not a number with the decimal mark {mark}"),
    ("not-seconds", "{what} is not a number of seconds since 1970"),
    ("not-a-number", "{what} is not a number"),
    ("not-a-whole-number", "{what} is not a whole number"),
    ("number-too-large", "{what} is too large a number"),
    ("text-too-long", "{what} is longer than {n} characters"),
    ("not-a-time", "{what} is not a time"),
    ("not-a-duration", "{what} is not a duration written {form}"),
    ("not-an-iso-time", "{what} is not an ISO time (2026-03-28 06:30)"),
    ("not-a-time-like", "{what} is not a time like {form}"),
    ("word-misspelt", "{what} is not in the map's word table {hint}"),
    ("word-unknown", "{what} is not in the map's word table"),
    ("time-skipped", "{when} does not exist: the clock skipped that hour in {zone}"),
    ("time-repeated", "{when} came twice: the clock repeated that hour in {zone}"),
    ("time-of-either-pass", "{when} came twice as the clock was put back, and nothing in the file tells which it is"),
    ("not-on-this-farm", "{what} is not a moment on this farm"),
    ("key-empty", "{what} is empty, and without it a row of {table} cannot be told from another"),
    ("conductivity-unit-unknown", "{name}: the unit {unit} is not known here (H61 is mS/cm)"),
    ("unit-unknown", "{name}: the unit {unit} is not known here (known: {words})"),
    ("offset-missing", "{what} does not say its offset from UTC, as RFC 3339 must"),
    ("value-missing-and-more", "{name}: is missing (and {n} more)"),
    ("value-missing", "{name}: is missing"),
    ("and-more", "and {n} more"),
    ("did-you-mean", "(did you mean {word}?)"),
    ("known-here", "(known here: {words})"),
    ("address-missing", "no address is known for this channel"),
    ("address-unclear", "its address cannot be understood"),
    ("package-missing", "its address needs a package that is not installed: {packages}"),
    ("service-unusable", "its service cannot be used on this machine"),
    ("earlier-hangs", "not sent: an earlier message still hangs"),
    ("over-never-told", "not sent: what is over never arrived there"),
    ("settled", "not sent: it is over or answered by now"),
    ("sending-failed", "not sent ({kind})"),
    ("no-answer-within", "no answer within {n} s; it may still arrive"),
    ("no-answer", "no answer in time; it may still arrive"),
    ("not-taken", "the service did not take it"),
    ("no-connection", "no connection, or no sensible answer"),
    ("service-answered", "the service answered {n}"),
    ("taken", "taken by the service"),
    ("aged", "it stood for as long as its rule lets it"),
    ("ended", "the condition ended"),
    ("unwatched", "it is no longer watched"),
    ("unused", "the rule is no longer in use"),
)
"""Codes and sentences, each before one that would fit as well and says less."""

TITLED = (
    "not-a-number-with-mark", "not-seconds", "not-a-number", "not-a-whole-number", "number-too-large", "text-too-long",
    "not-a-time", "not-a-duration", "not-an-iso-time", "not-a-time-like", "word-misspelt", "word-unknown",
    "time-skipped", "time-repeated", "time-of-either-pass", "not-on-this-farm", "offset-missing",
)  # fmt: skip
"""Codes of what stood in a cell: before it stood the cell's title."""


def as_reason(text: str) -> str:
    """The reason that a sentence of schema 6 is, as JSON.

    >>> print(as_reason('"Kg": "5.9x" is not a number'))
    {"code":"at-place","place":"\\"Kg\\"","why":{"code":"not-a-number","what":"\\"5.9x\\""}}
    """
    cut = text if len(text) <= LONGEST else text[:LONGEST] + "…"
    return json.dumps(_reason(cut), ensure_ascii=False, separators=(",", ":"))


@lru_cache(maxsize=512)
def _reason(text: str) -> dict[str, object]:
    """The code and the values, in the order of their names."""
    item = ITEM.fullmatch(text)
    if item:
        return {"code": "item", "n": int(item[1]), "why": _reason(item[2])}
    several = SEVERAL.split(text)
    if len(several) > 1:
        return {"code": "several", "parts": [_reason(one) for one in several]}
    for code, pattern in _patterns():
        match = pattern.fullmatch(text)
        if match:
            values = {name: _value(code, name, match[name]) for name in sorted(match.groupdict())}
            return _under_title(code, values) if code in TITLED else {"code": code, **values}
    return {"code": "as-said", "text": text}


def _under_title(code: str, values: dict[str, object]) -> dict[str, object]:
    """The reason of a cell, under the title that stood before what was in it."""
    name = "when" if "when" in values else "what"
    title = TITLE.match(str(values[name]))
    if title is None:
        return {"code": code, **values}
    why = {"code": code, **values, name: str(values[name])[title.end() :]}
    return {"code": "at-place", "place": title[1], "why": why}


def _value(code: str, name: str, text: str) -> object:
    if name in WITHIN:
        return _reason(text)
    return int(text) if name in WHOLE and code not in MARKED and re.fullmatch("0|[1-9][0-9]{0,17}", text) else text


@lru_cache(maxsize=1)
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Each sentence as it is found again: anything in its places, a hint in its brackets."""
    return tuple((code, re.compile(_pattern(sentence), re.DOTALL)) for code, sentence in SENTENCES)


def _pattern(sentence: str) -> str:
    def place(match: re.Match[str]) -> str:
        counted = f" (?:{match[2][1:]})" if match[2] else ""
        return f"(?P<{match[1]}>{HINT if match[1] == 'hint' else '.+?'}){counted}"

    return PLACE.sub(place, re.sub(r"([()?.])", r"\\\1", sentence))
