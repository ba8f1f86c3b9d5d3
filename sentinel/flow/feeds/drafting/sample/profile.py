"""What one column of a sample holds: figures, moments, spans, words or names, and how they are spread."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from sentinel.flow.feeds.drafting.lexicon.titles import read_title
from sentinel.flow.feeds.drafting.sample.sniff import DATE_FORMATS, TIME_FORMATS, Sample, formats, numbers
from sentinel.flow.feeds.times import local_seconds, read_time
from sentinel.flow.feeds.values import FLAG_WORDS, as_text

Shape = Literal["empty", "number", "moment", "day", "clock", "span", "text"]

_EPOCHS = {"epoch_s": (9.4e8, 4.1e9), "epoch_ms": (9.4e11, 4.1e12)}
"""Between these, whole numbers of at least nine digits may be seconds or milliseconds since 1970."""


_BY_FAR = 4.0
"""So many times shorter must a column's stretch of time be by one order of day and month to be taken for it."""


@dataclass(frozen=True, slots=True)
class Source:
    """One column of the sample, or one group of four columns that are the four quarters.

    `family`: the four columns' words for the quarters, `titles` their titles, both in the order of the quarters as far
    as it is known; a single column has none. `unit`: as a row below the titles says it.
    `sure`: any language calls the quarters so; `read`: their words are short for such names.
    """

    title: str
    cells: tuple[Any, ...]
    family: tuple[str, ...] = ()
    titles: tuple[str, ...] = ()
    sure: bool = True
    unit: str = ""
    read: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """A column and what it holds.

    `values`: a figure for each row, NaN where there is none: numbers as they stand, moments as local seconds, spans in
    their smallest part. `form`: how moments are written. `unit`: of a span.
    `plain_order`: of orders of day and month that all fit, one keeps the moments together by far. `files`: how many of
    the rows are of each file.
    """

    source: Source
    shape: Shape
    texts: tuple[str, ...]
    values: NDArray[np.float64] = field(default_factory=lambda: np.empty(0))
    form: str = ""
    unit: str = ""
    plain_order: bool = False
    files: tuple[int, ...] = ()

    @property
    def title(self) -> str:
        """The column's title."""
        return self.source.title

    @property
    def filled(self) -> list[str]:
        """The texts of the cells that hold something."""
        return [text for text in self.texts if text]

    @property
    def distinct(self) -> int:
        """How many different texts there are."""
        return len(set(self.filled))

    @property
    def unit_said(self) -> str:
        """The unit that a row below the titles or the title itself says, as a map writes it; "" if none."""
        return self.source.unit or read_title(self.title).unit

    @property
    def each_in_a_file(self) -> float:
        """How often a text comes within a file, usually."""
        sizes = self.files if sum(self.files) == len(self.texts) else (len(self.texts),)
        begin, often = 0, []
        for size in sizes:
            filled = [text for text in self.texts[begin : begin + size] if text]
            begin += size
            if filled:
                often.append((len(filled) / len(set(filled)), len(filled)))
        return sum(each * n for each, n in often) / max(sum(n for _, n in often), 1) if often else 1.0

    @property
    def known(self) -> NDArray[np.float64]:
        """The figures that there are."""
        return self.values[~np.isnan(self.values)]

    @property
    def whole(self) -> bool:
        """Whether all figures are whole numbers."""
        return bool(np.all(self.known == np.floor(self.known)))

    @property
    def is_flag(self) -> bool:
        """Whether it can be yes or no: one or two words, or words that are known for it."""
        words = {text.casefold() for text in self.filled}
        return 0 < len(words) <= 2 or (bool(words) and words <= set(FLAG_WORDS))


def profiled(source: Source, sample: Sample) -> Profile:
    """What a column holds."""
    missing = set(sample.missing)
    cells = tuple("" if as_text(cell) in missing else cell for cell in source.cells)
    texts = tuple(as_text(cell) for cell in cells)
    bare = Profile(source, "text", texts, files=sample.files)
    if not any(texts):
        return replace(bare, shape="empty")
    return (
        _clocklike(bare)
        or _dotted_clock(bare, sample)
        or _numeric(bare, cells, sample)
        or _moments(bare, cells)
        or bare
    )


def _clocklike(bare: Profile) -> Profile | None:
    """Times of day and durations, which are written alike: `6:30`, `06:30:10`, `7:12`."""
    filled = bare.filled
    if not all(re.fullmatch(r"[0-9]{1,3}:[0-5][0-9](:[0-5][0-9])?( ?[AaPp][Mm])?", text) for text in filled):
        return None
    parts = [text.count(":") for text in filled]
    if min(parts) != max(parts):
        return None
    halves = [text[-2:].upper() if text[-1:].upper() == "M" else "" for text in bare.texts]
    seconds = np.full(len(bare.texts), np.nan)
    for n, text in enumerate(bare.texts):
        if text:
            digits = [int(p) for p in re.findall(r"[0-9]+", text)]
            seconds[n] = sum(p * 60**i for i, p in enumerate(reversed(digits)))
            if halves[n]:
                seconds[n] = (seconds[n] % (12 * 60 ** parts[0])) + (12 * 60 ** parts[0] if halves[n] == "PM" else 0)
    day = 24 * 60 ** parts[0]
    known = seconds[~np.isnan(seconds)]
    padded = all(re.match(r"[0-9]{2}:", text) for text in filled)
    clock = bool(np.max(known) < day) and (any(halves) or _is_clock(known, day, padded))
    return replace(
        bare, shape="clock" if clock else "span", values=seconds, unit="min:sec" if parts[0] == 1 else "h:min:sec"
    )


def _dotted_clock(bare: Profile, sample: Sample) -> Profile | None:
    """Times of day with points, as the north and Italy write them: `6.30`, `06.30.10`; no days as `18.11.26`.

    Two parts may be a figure, where its mark is not known to be a comma.
    """
    filled = bare.filled
    two = sample.decimal == "," and all(re.fullmatch(r"[0-9]{1,2}[.][0-5][0-9]", text) for text in filled)
    three = not two and all(re.fullmatch(r"[0-9]{1,2}[.][0-5][0-9][.][0-5][0-9]", text) for text in filled)
    if not (two or three) or (three and all(1 <= int(text.split(".")[1]) <= _MONTHS for text in filled)):
        return None
    clock = _clocklike(replace(bare, texts=tuple(text.replace(".", ":") for text in bare.texts)))
    if clock is None or clock.shape != "clock":
        return None
    return replace(clock, texts=bare.texts)


_MONTHS = 12
_ENOUGH = 4


def _is_clock(known: NDArray[np.float64], day: int, padded: bool) -> bool:
    """Whether times of day are meant and no lengths of time: they go on from row to row, or lie all over the day."""
    if len(known) < _ENOUGH:
        return padded
    steps = np.diff(known)
    moved = steps[steps != 0]
    goes_on = len(moved) == 0 or max(np.mean(moved % day < day / 2), np.mean(-moved % day < day / 2)) > 0.85
    low, high = np.percentile(known, [5, 95]) / day
    wide = bool(low < 0.3 and high > 0.7)
    return bool((goes_on or wide) if padded else (goes_on and wide))


def _numeric(bare: Profile, cells: Sequence[Any], sample: Sample) -> Profile | None:
    if any(isinstance(cell, datetime | date | time | bool) for cell in cells):
        return None
    if all(re.fullmatch(r"(19|20)[0-9]{6}([0-9]{4}){0,1}([0-9]{2}){0,1}", t) for t in bare.filled) and (
        moments := _moments(bare, [str(t) for t in bare.texts])
    ):
        return moments
    values = np.full(len(cells), np.nan)
    places = [n for n, text in enumerate(bare.texts) if text]
    read = numbers([cells[n] for n in places], sample.decimal, sample.thousands)
    if read is None:
        return None
    values[places] = read
    for form, (low, high) in _EPOCHS.items():
        if all(low < v < high and v == int(v) for v in read) and len(bare.filled[0]) in (10, 13):
            return replace(bare, shape="moment", values=values / (1 if form == "epoch_s" else 1000), form=form)
    return replace(bare, shape="number", values=values)


def _moments(bare: Profile, cells: Sequence[Any]) -> Profile | None:
    few = [cell for cell in cells if as_text(cell)]
    fitting = formats(few[:20], (*TIME_FORMATS, *DATE_FORMATS))
    fitting = formats(few, fitting) if fitting and fitting[0] != "native" else fitting
    if not fitting:
        return None
    reaches: list[tuple[float, str, NDArray[np.float64]]] = []
    for form in fitting:
        read = read_time("iso" if form == "native" else form, frozenset())
        values = np.full(len(cells), np.nan)
        for n, cell in enumerate(cells):
            if as_text(cell):
                values[n] = _seconds(cell if form == "native" else read(cell))
        reaches.append((float(np.nanmax(values) - np.nanmin(values)), form, values))
    # An export holds a stretch of time: of two orders of day and month, the one that keeps it shorter by far.
    shortest = min(reach for reach, *_ in reaches)
    near = [one for one in reaches if one[0] <= max(_BY_FAR * shortest, shortest + 86400)]
    _, form, values = near[0]
    plain_order = all(np.array_equal(one[2], values, equal_nan=True) for one in near)
    known = values[~np.isnan(values)]
    day = bool(np.all(known % 86400 == 0)) and (form in ("native", *DATE_FORMATS))
    if form == "iso" and any(":" in text for text in bare.filled):
        day = False
    return replace(bare, shape="day" if day else "moment", values=values, form=form, plain_order=plain_order)


def _seconds(moment: Any) -> float:
    if isinstance(moment, datetime):
        return float(local_seconds(moment.replace(tzinfo=None)))
    if isinstance(moment, date):
        return float(local_seconds(datetime(moment.year, moment.month, moment.day)))  # noqa: DTZ001
    return float(moment)
