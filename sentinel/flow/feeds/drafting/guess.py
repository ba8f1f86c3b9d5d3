"""Which column of a sample is which field: titles against those that are known, weighed by what the cells look like."""

from __future__ import annotations

import re
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from sentinel.flow.feeds.drafting.sniff import DATE_FORMATS, TIME_FORMATS, Sample, formats, numbers
from sentinel.flow.feeds.drafting.vocabulary import CELL_WORDS, QUARTER_FAMILIES
from sentinel.flow.feeds.values import as_text
from sentinel.flow.model import QUARTERS
from sentinel.flow.tables import Column, Table

LEAST_PERCENT = 55
"""Guesses below this are not written into a draft."""


@dataclass(frozen=True, slots=True)
class Source:
    """One column of the sample, or one group of four columns that differ only in the quarter's name."""

    title: str
    cells: tuple[Any, ...]
    family: tuple[str, ...] = ()

    @property
    def plain(self) -> str:
        """The title in lower case without its unit, its quarter and its punctuation."""
        text = re.sub(r"\{quarter\}|\(.*?\)|\[.*?\]", " ", self.title)
        text = re.sub(r"(?<=[a-zß-ÿ])(?=[A-Z])", " ", text)
        return " ".join(re.sub(r"[^\w/ ]|_", " ", text).lower().split())


@dataclass(frozen=True, slots=True)
class Guess:
    """One field's likely source, with the confidence in percent."""

    field: str
    source: Source
    percent: int
    clock: Source | None = None


@dataclass(frozen=True, slots=True)
class Guesses:
    """The tables a sample seems to fill, and the columns nothing was found for."""

    tables: dict[str, dict[str, Guess]] = field(default_factory=dict)
    family: tuple[str, ...] = ()
    left: tuple[str, ...] = ()


def sources(sample: Sample) -> list[Source]:
    """The sample's columns, those of four quarters taken together."""
    cells_by_title = dict(zip(sample.titles, sample.columns, strict=True))
    grouped: list[Source] = []
    used: set[str] = set()
    for family in QUARTER_FAMILIES:
        stems: dict[str, dict[str, str]] = {}
        for title in cells_by_title:
            if title in used:
                continue
            for label in family:
                stem = _stem(title, label)
                if stem:
                    stems.setdefault(stem, {})[label] = title
        for stem, by_label in stems.items():
            if len(by_label) == 4 and not used & set(by_label.values()):
                cells = tuple(cell for label in family for cell in cells_by_title[by_label[label]])
                grouped.append(Source(stem, cells, family))
                used |= set(by_label.values())
    return [Source(t, cells) for t, cells in cells_by_title.items() if t and t not in used] + grouped


def _stem(title: str, label: str) -> str:
    """The title with `{quarter}` in place of a quarter's name that stands by itself, or ""."""
    pattern = rf"(?<![^\W_]){re.escape(label)}(?![^\W_])"
    if label.isupper():  # also at a change of capitals: condLF, LFmilk
        pattern += rf"|(?<=[a-zß-ÿ0-9]){label}(?![A-Za-z])|(?<![A-Za-z]){label}(?=[a-z0-9])"
    matches = list(re.finditer(pattern, title))
    if len(matches) != 1:
        return ""
    return title[: matches[0].start()] + "{quarter}" + title[matches[0].end() :]


def guess(sample: Sample, tables: Sequence[Table]) -> Guesses:
    """The most likely tables and fields of a sample."""
    all_sources = sources(sample)
    single = [s for s in all_sources if not s.family]
    grouped = [s for s in all_sources if s.family]
    best: tuple[float, str, dict[str, Guess]] = (0.0, "", {})
    for table in tables:
        if grouped and table.name != "visits":
            continue
        fields = _assign(table, single, sample)
        keys = [k for k in table.key if k in fields]
        if not keys or len(fields) < 2:
            continue
        # Sure guesses count far more than many weak ones.
        score = sum(f.percent - LEAST_PERCENT + 5 for f in fields.values()) * (len(keys) / len(table.key))
        if score > best[0]:
            best = (score, table.name, fields)
    result: dict[str, dict[str, Guess]] = {best[1]: best[2]} if best[1] else {}
    family: tuple[str, ...] = ()
    if grouped:
        quarters = next(t for t in tables if t.name == "quarters")
        family = grouped[0].family
        same = [s for s in grouped if s.family == family]
        result.setdefault("visits", {})
        result["quarters"] = _assign(quarters, same, sample)
    taken = {t for fields in result.values() for g in fields.values() for t in (g.source.title, _clock_title(g))}
    return Guesses(result, family, tuple(s.title for s in all_sources if s.title not in taken))


def _clock_title(candidate: Guess) -> str:
    return candidate.clock.title if candidate.clock else ""


def _assign(table: Table, columns: Sequence[Source], sample: Sample) -> dict[str, Guess]:
    """Each field's best column, the surest pairs first, each column used once."""
    pairs: list[tuple[int, int, int, Guess]] = []
    for rank, column in enumerate(table.columns):
        for place, source in enumerate(columns):
            percent = _percent(column, source, sample)
            if percent >= LEAST_PERCENT:
                pairs.append((-percent, rank, place, Guess(column.name, source, percent)))
    chosen: dict[str, Guess] = {}
    used: set[str] = set()
    for *_, one in sorted(pairs, key=lambda pair: pair[:3]):
        if one.field not in chosen and one.source.title not in used:
            chosen[one.field] = one
            used.add(one.source.title)
    clock = next((s for s in columns if s.title not in used and _is_clock(s)), None)
    moment = chosen.get(table.happened)
    if moment and clock and _is_day(moment.source):
        chosen[table.happened] = Guess(moment.field, moment.source, moment.percent, clock)
    return {c.name: chosen[c.name] for c in table.columns if c.name in chosen}


@lru_cache(maxsize=512)
def _reads_as(cells: tuple[Any, ...], known: tuple[str, ...]) -> bool:
    """Whether some of the known formats reads every filled cell; asked for the same cells many times."""
    return bool(formats(cells, known))


def _is_day(source: Source) -> bool:
    """Whether a column holds days without a time."""
    filled = [cell for cell in source.cells if as_text(cell)]
    if filled and all(hasattr(cell, "hour") for cell in filled):
        return all((cell.hour, cell.minute, cell.second) == (0, 0, 0) for cell in filled)
    return _reads_as(source.cells, DATE_FORMATS) and all(len(as_text(c)) <= 10 for c in filled)


def _is_clock(source: Source) -> bool:
    """Whether a column holds times of day without a date."""
    filled = [as_text(cell) for cell in source.cells if as_text(cell)]
    return bool(filled) and all(re.fullmatch(r"[0-2]?[0-9]:[0-5][0-9](:[0-5][0-9])?", text) for text in filled)


def _percent(column: Column, source: Source, sample: Sample) -> int:
    """How likely a column of the sample is a field, in percent: three parts its name, one part its cells."""
    evidence = _evidence(column, source, sample)
    if evidence == 0:
        return 0
    return round(0.75 * _named(column.titles, source.plain) + 25 * evidence)


@lru_cache(maxsize=4096)
def _named(titles: str, title: str) -> float:
    """How well a title fits those that a field has in exports, 0 to 100."""
    words = titles.split(";")
    if not title:
        return 0.0
    from rapidfuzz import fuzz, process  # noqa: PLC0415  (3 MB, and only a new map needs it)

    whole = process.extractOne(title, words, scorer=fuzz.ratio)
    # A title that holds a word of ours and more (`milk of the day`) counts, but less than the word itself.
    parts = [w for w in words if len(w) > 1 and re.search(rf"\b{re.escape(w)}\b", title)]
    inside = max((70.0 + 25.0 * len(w) / len(title) for w in parts), default=0.0)
    return max(float(whole[1]) if whole else 0.0, inside)


def _evidence(column: Column, source: Source, sample: Sample) -> float:
    """How well the cells fit a field's kind: 0 (impossible) to 1."""
    texts = [as_text(cell) for cell in source.cells if as_text(cell)]
    if not texts:
        return 0.3
    distinct = len(set(texts))
    if column.kind in ("time", "date"):
        return 1.0 if _reads_as(source.cells, TIME_FORMATS) or _reads_as(source.cells, DATE_FORMATS) else 0.0
    if column.kind in ("number", "count"):
        return _number_evidence(column, source, texts, sample)
    if column.kind == "flag":
        return 0.9 if distinct <= 3 else 0.0
    if column.kind == "word":
        if distinct > 20 or _reads_as(source.cells, TIME_FORMATS):
            return 0.0
        return 0.4 + 0.6 * _words_known(column.name, set(texts))
    if _reads_as(source.cells, TIME_FORMATS) and column.name != "text":
        return 0.0
    if column.name in ("box", "tank"):
        return 1.0 if distinct <= 20 and max(map(len, texts)) <= 12 else 0.1
    if column.name == "cow":
        return (
            1.0
            if max(map(len, texts)) <= 20 and sum(any(c.isdigit() for c in t) for t in texts) * 2 > len(texts)
            else 0.1
        )
    return 0.7


def _number_evidence(column: Column, source: Source, texts: Sequence[str], sample: Sample) -> float:
    if column.unit == "s" and all(re.fullmatch(r"[0-9]{1,3}:[0-5][0-9](:[0-5][0-9])?", text) for text in texts):
        return 1.0
    values = numbers(source.cells, sample.decimal, sample.thousands)
    if values is None:
        return 0.0
    low, high = column.plausible
    if not all(low <= value <= high for value in values):
        return 0.0
    if column.kind == "count" and not all(value.is_integer() for value in values):
        return 0.0
    return 1.0


def _words_known(name: str, texts: set[str]) -> float:
    """The share of the cells' words that the vocabulary knows."""
    return sum(bool(our_word(name, text)[0]) for text in texts) / len(texts)


def our_word(name: str, text: str) -> tuple[str, int]:
    """Our word for an export's word and the confidence in percent, or ("", 0).

    >>> our_word("outcome", "cut short")
    ('incomplete', 100)
    """
    from rapidfuzz import fuzz, process  # noqa: PLC0415

    best = ("", 0)
    for ours, their_words in CELL_WORDS.get(name, {}).items():
        words = [*their_words.split(";"), ours.lower()]
        match = process.extractOne(text.strip().lower(), words, scorer=fuzz.ratio, score_cutoff=75)
        if match and match[1] > best[1]:
            best = (ours, round(match[1]))
    return best


def unit_of(column: Column, source: Source, sample: Sample) -> tuple[str, str]:
    """The unit to write for a field ("" if it is the column's own), and a remark if it is a guess."""
    title = source.title.lower()
    texts = [as_text(cell) for cell in source.cells if as_text(cell)]
    values = numbers(source.cells, sample.decimal, sample.thousands)
    middle = statistics.median(values) if values else 0.0
    if column.unit == "s":
        if texts and all(re.fullmatch(r"[0-9]+:[0-5][0-9]:[0-5][0-9]", text) for text in texts):
            return "h:min:sec", ""
        if texts and all(re.fullmatch(r"[0-9]+:[0-5][0-9]", text) for text in texts):
            return "min:sec", "" if "min" in title or "m:s" in title else "or is it h:min?"
        if re.search(r"\bmin\b", title):
            return "min", ""
        return "", "" if re.search(r"\b(s|sec|sek)\b", title) else "seconds is a guess: the title does not say"
    if column.unit == "kg":
        if re.search(r"\b(lb|lbs|pounds?)\b", title):
            return "lb", ""
        if re.search(r"\b(l|ltr|litres?|liters?)\b", title):
            return "l", "litres: state density_kg_per_l as well, the milk buyer uses one"
    if column.unit == "mS/cm":
        if middle >= 2000:
            return "uS/cm", "" if "s/cm" in title else "by the size of the values"
        if middle >= 100:
            return "mS/m", "" if "ms/m" in title else "by the size of the values"
    if column.unit == "degC" and (middle > 33 or "°f" in title):
        return "degF", "" if "°f" in title else "by the size of the values"
    if column.unit == "1000/ml" and middle >= 5000:
        return "cells/ml" if column.name.startswith("cells") else "cfu/ml", "by the size of the values"
    return "", ""


def quarters_called(family: Sequence[str]) -> dict[str, str]:
    """Our quarter codes to the export's names."""
    return dict(zip(QUARTERS, family, strict=True))
