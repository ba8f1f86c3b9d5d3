"""Sentences that the store keeps as they were said in English, said again in the farm's language.

Why a row was set aside and why a notice did not arrive is known where no language is (a feed map, a channel), and is
kept as a plain sentence. Here are the sentences such a reason can be, with places for what is this row's or channel's
own; one that is none of them, such as what a library says of a broken file, is shown as it was kept.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from sentinel.flow.bounds import LONGEST_REASON, cut
from sentinel.flow.language import PLACE, Said, Words, joined, rendered

HINT = r"\(.+\)"
WITHIN = ("why", "hint")
SEVERAL = re.compile(r'; (?="[^"]*": |and [0-9]+ more$)')
"""Between the reasons of one row, each of which begins with the title of its cell."""
"""Places that hold a sentence of this kind themselves."""

KEPT: tuple[Said, ...] = (
    # a whole file
    Said("its titles lack {titles}; is the map's delimiter right?"),
    Said("its titles lack {titles}"),
    Said("its name does not fit the map's pattern {pattern}"),
    Said("it is empty; the column titles should stand on line {n}"),
    Said("it has only {few|line|lines}; the column titles should stand on line {n}"),
    Said("its column titles are not {encoding} text; is the map's encoding right? (often it is cp1252)"),
    Said("it cannot be read as {encoding} text"),
    Said("it is larger than {size}"),
    Said("it has more than {n} rows"),
    Said("it has more than {n} cells"),
    Said("it has more than {n} column titles"),
    Said("the program ended twice while reading it"),
    Said("with its rows there would be more than the memory may hold; is it an export of this farm?"),
    Said("reading it failed ({detail})"),
    Said("it cannot be stored ({detail})"),
    Said("it unpacks to more than 2 GB, which is no export"),
    Said("it unpacks to more than {size}"),
    Said("it has more than {n} parts, which is no export"),
    Said("it has a row past number {n}"),
    Said("it takes more than {n} s to unpack"),
    Said("it takes more than {size} of memory to unpack"),
    Said("it is not a workbook that can be read ({detail}); was it copied completely?"),
    Said("it has no sheet {sheet} {hint}"),
    Said("it has no sheet {sheet}"),
    Said("it has no sheet"),
    Said("its sheet is empty; the column titles should stand in row {n}"),
    Said("its sheet has only {few|row|rows}; the column titles should stand in row {n}"),
    Said("it is not UTF-8 text, as JSON must be (byte {n})"),
    Said("it is nested too deeply to be a list of milking visits"),
    Said("it is not valid JSON: {detail} in line {n}; was it copied completely?"),
    Said("it is not valid JSON: {detail}"),
    Said('it has neither a list of milking visits nor an object whose "member" is one'),
    Said('it gives "member" twice'),
    Said('it holds more than {n} characters besides its "member"'),
    Said("it holds an item of more than {n} characters"),
    # a row as it stands there
    Said("item {n}: {why}"),
    Said("has {n|cell|cells} where the titles have {width}: it is cut short or has a line break inside"),
    Said("has {n|cell|cells} where the titles have {width}: is the delimiter or decimal mark inside a cell?"),
    Said("has bytes that are not {encoding} text; is the map's encoding right? (often it is cp1252)"),
    Said("a quote is opened and never closed"),
    Said("has a cell of more than 131,072 characters"),
    Said("its quotes make no sense"),
    Said("has bytes that are not text in the map's encoding"),
    Said("is nested too deeply"),
    Said("holds more than {n} values"),
    Said("is not valid JSON: {detail}"),
    Said("is JSON, but not an object with named values"),
    Said("holds half a character (a lone surrogate), which no text may"),
    Said("is not an object"),
    Said("is a {kind}, not a milking visit"),
    Said("animal.id is empty"),
    Said("gives one quarter twice"),
    Said("icarQuarterId is missing: it is not said which quarter was measured"),
    Said("{name}: icarQuarterId is missing: it is not said which quarter was measured"),
    Said("{name}: {quarter} is given twice and not alike, so neither is kept"),
    Said("{name}: {word} is not a remark of the standard"),
    Said("{name}: holds half a character (a lone surrogate), which no text may"),
    Said("{name}: is not an object"),
    Said("{name}: is not a list"),
    Said("{name}: has more than {n} entries"),
    Said("{name}: is empty"),
    Said("the row is dated later than the moment its file arrived"),
    # a cell
    Said("{what} is not a number with the decimal mark {mark}"),
    Said("{what} is not a number of seconds since 1970"),
    Said("{what} is not a number"),
    Said("{what} is not a whole number"),
    Said("{what} is too large a number"),
    Said("{what} is longer than {n} characters"),
    Said("{what} is not a time"),
    Said("{what} is not a duration written {form}"),
    Said("{what} is not an ISO time (2026-03-28 06:30)"),
    Said("{what} is not a time like {form}"),
    Said("{what} is not in the map's word table {hint}"),
    Said("{what} is not in the map's word table"),
    Said("{when} does not exist: the clock skipped that hour in {zone}"),
    Said("{when} came twice: the clock repeated that hour in {zone}"),
    Said("{when} came twice as the clock was put back, and nothing in the file tells which it is"),
    Said("{what} is not a moment on this farm"),
    Said("{what} is empty, and without it a row of {table} cannot be told from another"),
    Said("{name}: the unit {unit} is not known here (H61 is mS/cm)"),
    Said("{name}: the unit {unit} is not known here (known: {words})"),
    Said("{what} does not say its offset from UTC, as RFC 3339 must"),
    Said("{name}: is missing (and {n} more)"),
    Said("{name}: is missing"),
    Said("and {n} more"),
    Said("(did you mean {word}?)"),
    Said("(known here: {words})"),
    # a channel
    Said("no address is known for this channel"),
    Said("its address cannot be understood"),
    Said("its address needs a package that is not installed: {packages}"),
    Said("its service cannot be used on this machine"),
    Said("not sent: an earlier message still hangs"),
    Said("not sent: what is over never arrived there"),
    Said("not sent: it is over or answered by now"),
    Said("not sent ({kind})"),
    Said("no answer within {n} s; it may still arrive"),
    Said("no answer in time; it may still arrive"),
    Said("the service did not take it"),
    Said("no connection, or no sensible answer"),
    Said("the service answered {n}"),
)
"""The sentences, each before one that would fit as well and says less."""


@lru_cache(maxsize=1)
def _patterns() -> Mapping[re.Pattern[str], str]:
    """Each sentence as it can be found again."""
    return {re.compile(_pattern(one.template), re.DOTALL): one.template for one in KEPT}


def _pattern(template: str) -> str:
    """A sentence with anything in its places, a hint in its brackets."""

    def place(found: re.Match[str]) -> str:
        counted = f" (?:{found[2][1:]})" if found[2] else ""
        return f"(?P<{found[1]}>{HINT if found[1] == 'hint' else '.+?'}){counted}"

    return PLACE.sub(place, re.sub(r"([()?.])", r"\\\1", template))


def said_again(text: str) -> str:
    """A kept sentence with what it was put together from; any other text as it is.

    >>> said_again('"Came in": "32.05." is not a time like 28.03.').values["form"]
    '28.03.'
    >>> said_again("a text of somebody else")
    'a text of somebody else'
    """
    return _said_again(cut(text, LONGEST_REASON))


@lru_cache(maxsize=512)
def _said_again(text: str) -> str:
    """The same of a text that is not too long to be looked through."""
    several = SEVERAL.split(text)
    if len(several) > 1:
        return joined("; ", [said_again(one) for one in several])
    for pattern, template in _patterns().items():
        found = pattern.fullmatch(text)
        if found:
            values = {name: said_again(one) if name in WITHIN else one for name, one in found.groupdict().items()}
            return Said(template, **values)
    return text


def in_words(text: str, words: Words) -> str:
    """A kept sentence as it is said to the farm."""
    return str(rendered(said_again(text), words))
