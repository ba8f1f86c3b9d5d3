"""What the names of files of one kind say: the feed, the pattern that finds them all, their stamp and their pace."""

from __future__ import annotations

import re
import statistics
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from sentinel.flow.feeds.drafting.lexicon.titles import plain
from sentinel.flow.feeds.durations import MOST_S
from sentinel.flow.feeds.times import local_seconds
from sentinel.flow.model import DAY_S, HOUR_S

SPAN_S = {"hourly": HOUR_S, "daily": DAY_S, "weekly": 7 * DAY_S, "monthly": 30 * DAY_S}
_ENOUGH_NAMES = 4
_MONTHS = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"


@dataclass(frozen=True, slots=True)
class Named:
    """A file's name: its feed, the pattern that finds the others, and a strptime pattern of its stamp ("" if none)."""

    feed: str
    files: str
    stamp: str


def named(name: str, others: Sequence[str] = ()) -> Named:
    """What a file's name says, and those of others of its kind.

    >>> named("milkings_20260328_0700.csv")
    Named(feed='milkings', files='milkings_*.csv', stamp='milkings_%Y%m%d_%H%M')
    >>> named("CELLS Nov26.csv", ["CELLS Oct26.csv"])
    Named(feed='cells', files='CELLS *.csv', stamp='')
    """
    names = list(dict.fromkeys([name, *(one.rpartition("/")[2] for one in others)]))
    stems, ending = _parted(names)
    starred = _starred(stems)
    word = re.sub(r"\W+", "_", plain(starred.lower()), flags=re.ASCII).strip("_")
    return Named(word or "export", starred + ending, stamp(stems))


def _parted(names: Sequence[str]) -> tuple[list[str], str]:
    """The names without their ending, and the ending, `*` where they have several."""
    parts = [one.rpartition(".") for one in names]
    stems = [stem if dot else one for one, (stem, dot, _) in zip(names, parts, strict=True)]
    endings = {dot + ending if dot else "" for _, dot, ending in parts}
    return stems, endings.pop() if len(endings) == 1 else "*"


def _starred(stems: Sequence[str]) -> str:
    """A pattern that finds all names: what changes from one to another, and what may be a stamp, is a star."""
    known = [_without_stamp(stem) for stem in stems]
    stars = [re.sub(r"[0-9](?:[0-9T_.-]*[0-9])?Z?", "*", one) for one in known]
    stars = [re.sub(r"\*(?:[ _.-]*\*)+", "*", one) for one in stars]
    if len(set(stars)) == 1:
        return stars[0]
    begin = _alike([one.partition("*")[0] for one in stars])
    end = _alike([one.rpartition("*")[2][::-1] for one in stars])[::-1] if all("*" in one for one in stars) else ""
    return f"{begin}*{end}"


def _without_stamp(stem: str) -> str:
    found = next(_stamps(stem), None)
    stem = stem if found is None else f"{stem[: found[0]]}*{stem[found[1] :].removeprefix('Z')}"
    return re.sub(rf"(?<![A-Za-z])(?:{_MONTHS})[-_. ]?(?:20)?\d\d(?!\d)", "*", stem)


def _alike(texts: Sequence[str]) -> str:
    """How all of some texts begin."""
    first = min(texts)
    last = max(texts)
    return first[: next((n for n, c in enumerate(first) if n >= len(last) or c != last[n]), len(first))]


def stamp(stems: Sequence[str]) -> str:
    """A strptime pattern for the day, with a time if there is one, in the names without endings; "" if none.

    Only one that reads all of them; of two that do, the one by which they come closer together, and neither where that
    does not tell.

    >>> stamp(["BOXVIS 2026-11-10 01h", "BOXVIS 2026-11-10 02h"]), stamp(["Bestand_2026-KW46-2"])
    ('BOXVIS %Y-%m-%d %Hh', 'Bestand_%G-KW%V-%u')
    """
    patterns = dict.fromkeys(
        stems[0][:begin].replace("%", "%%") + form + stems[0][end:].replace("%", "%%")
        for begin, end, form in _stamps(stems[0], several=len(set(stems)) > 1)
    )
    read = {pattern: moments for pattern in patterns if (moments := _read(stems, pattern))}

    def rank(pattern: str) -> tuple[int, int, int]:
        moments = read[pattern]
        return (-len(set(moments)), -pattern.count("%"), max(moments) - min(moments))

    best = min(read, key=rank, default="")
    if not best or (len(set(stems)) == 1 and re.search(r"\d[^%]*$", best)):
        return ""  # what else is counted in a name changes from file to file
    for other, moments in read.items():
        if rank(other)[:2] == rank(best)[:2] and moments != read[best] and rank(other)[2] < 4 * rank(best)[2] + DAY_S:
            return ""
    return best


def _read(stems: Sequence[str], pattern: str) -> list[int]:
    """The moments of the stamps, local seconds; [] if one is none."""
    try:
        return [local_seconds(datetime.strptime(stem, pattern)) for stem in stems]  # noqa: DTZ007
    except ValueError:
        return []


_DAYS: tuple[tuple[str, Callable[[re.Match[str]], str]], ...] = (
    (r"(?<!\d)(20\d\d)(-?)([01]\d)\2([0-3]\d)", lambda m: f"%Y{m[2]}%m{m[2]}%d"),
    (r"(?<!\d)(20\d\d)([_.])([01]\d)\2([0-3]\d)", lambda m: f"%Y{m[2]}%m{m[2]}%d"),
    (r"(?<!\d)([0-3]\d)([-_.]?)([01]\d)\2(20\d\d)", lambda m: f"%d{m[2]}%m{m[2]}%Y"),
    (r"(?<!\d)([01]\d)([-_.]?)([0-3]\d)\2(20\d\d)", lambda m: f"%m{m[2]}%d{m[2]}%Y"),
    (rf"(?<!\d)([0-3]\d)([-_. ]?)(?:{_MONTHS})([-_. ]?)(20\d\d)", lambda m: f"%d{m[2]}%b{m[3]}%Y"),
    (rf"(?<!\d)([0-3]\d)([-_. ]?)(?:{_MONTHS})([-_. ]?)(\d\d)(?!\d)", lambda m: f"%d{m[2]}%b{m[3]}%y"),
    (r"(?<!\d)(20\d\d)([-_. ]?)([A-Za-z]{1,5})([0-5]\d)([-_.])([1-7])(?!\d)",
     lambda m: f"%G{m[2]}{m[3]}%V{m[5]}%u"),
    (r"(?<!\d)([2-4]\d)([-_.]?)([01]\d)\2([0-3]\d)(?!\d)", lambda m: f"%y{m[2]}%m{m[2]}%d"),
)  # fmt: skip
"""How days stand in names; weeks are those of ISO 8601, with their weekday."""

_CLOCK = re.compile(r"([T_. -]?)([0-2]\d)(-?)([0-5]\d)(?:\3([0-5]\d))?(?!\d)")
_HOUR = re.compile(r"([T_. -]?)([0-2]\d)(h)?(?![0-9A-Za-z])")


def _stamps(stem: str, *, several: bool = True) -> Iterator[tuple[int, int, str]]:
    """Where stamps stand in a name, and their strptime patterns, those with a time first.

    `several`: names are there to tell an hour from a running number; else only an h does.
    """
    for written, form in _DAYS:
        for day in re.finditer(written, stem):
            pattern = form(day)
            if clock := _CLOCK.match(stem, day.end()):
                yield (
                    day.start(), clock.end(),
                    f"{pattern}{clock[1]}%H{clock[3]}%M" + (f"{clock[3]}%S" if clock[5] else ""),
                )  # fmt: skip
            if (hour := _HOUR.match(stem, day.end())) and (several or hour[3]):
                yield day.start(), hour.end(), f"{pattern}{hour[1]}%H{hour[3] or ''}"
            yield day.start(), day.end(), pattern


def pace_of(names: Sequence[str]) -> str:
    """How often files come by the stamps in their names, in a map's words or as a length of time; "" if not told.

    >>> pace_of([f"v_2026050{day}.csv" for day in range(1, 8)])
    'daily'
    >>> pace_of([f"v 20260501 {hour:02d}h.csv" for hour in range(0, 24, 2)])
    '2 h'
    """
    names = list(dict.fromkeys(one.rpartition("/")[2] for one in names))
    stems, _ = _parted(names)
    moments = _read(stems, stamp(stems)) or _read_months(stems)
    ordered = sorted(set(moments))
    if len(ordered) < min(_ENOUGH_NAMES, len(names)) or len(ordered) < 2 or len(names) > 1.5 * len(ordered):
        return ""
    steps = [b - a for a, b in pairwise(ordered)]
    step = statistics.median(steps)
    if sum(abs(one - step) <= 0.1 * step for one in steps) < 0.6 * len(steps):
        return ""
    usual = next((pace for pace, span in SPAN_S.items() if abs(step - span) <= 0.1 * span), "")
    if usual or step > MOST_S:
        return usual
    return f"{round(step / DAY_S)} d" if step >= 2 * DAY_S else f"{max(step / HOUR_S, 1 / 60):.4g} h"


def are_enough(names: Sequence[str]) -> bool:
    """Whether there are names enough to tell the pace by them."""
    return len(set(names)) >= _ENOUGH_NAMES


def _read_months(stems: Sequence[str]) -> list[int]:
    """The first days of the months that names tell: 2026-09, Sep26, 2026-KW40."""
    forms = (
        (r"(?<!\d)(20\d\d)[-_. ]?([01]\d)(?!\d)", "%Y%m"),
        (rf"({_MONTHS})[-_. ]?(20\d\d)(?!\d)", "%b%Y"),
        (rf"({_MONTHS})[-_. ]?(\d\d)(?!\d)", "%b%y"),
        (r"(?<!\d)(20\d\d)[-_. ]?(?:KW|W|wk|v|S|U)?([0-5]\d)(?!\d)", "%G%V"),
    )
    for written, form in forms:
        found = [re.search(written, stem) for stem in stems]
        if all(found):
            texts = ["".join(match.groups()) for match in found if match]
            moments = _read([text + "1" for text in texts], form + "%u") if form == "%G%V" else _read(texts, form)
            if moments:
                return moments
    return []


def is_day(pattern: str) -> bool:
    """Whether a stamp is a day without a time.

    >>> is_day("v_%Y-%m-%d"), is_day("v_%Y-%m-%d %Hh")
    (True, False)
    """
    return "%H" not in pattern
