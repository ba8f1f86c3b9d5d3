"""Rows and whole files that a map cannot read, rows later than the file they stand in, and rows without their hour."""

from __future__ import annotations

from collections.abc import Iterator

from sentinel.flow.bounds import cut, legible
from sentinel.flow.feeds.formats.raw import plain_title
from sentinel.flow.feeds.plans import title_of
from sentinel.flow.feeds.possible import IMPOSSIBLE
from sentinel.flow.feeds.trial.figures import FEW
from sentinel.flow.feeds.trial.tried import MapFile, Tried, Why
from sentinel.flow.model import HOUR_S, QUARTERS, Problem, Source
from sentinel.flow.reasons import Reason
from sentinel.flow.tables import BOX_LOG, QUARTER_ROWS, VISITS, table_named

AHEAD_S = 600
"""A row later than its file by more than this is not explained by two clocks that differ a little."""

FEWEST_OF_A_DAY = 10
"""So many rows at each moment are no visits."""

_LONGEST = 300

OF_A_NAME = {"name-unlike-pattern", "name-with-another"}
"""Codes of why a file's name does not say a field of its rows."""

KIND = "kind-unknown"
"""The code of why a row is set aside whose kind none of the maps of its file takes."""


def unreadable(of: Tried) -> Iterator[Problem]:
    """Files that are set aside whole, each reason once; reasons for which more than single rows are not read."""
    refused: dict[str, list[str]] = {}
    first: dict[str, Reason] = {}
    for file in of.files:
        if file.refused is not None:
            refused.setdefault(str(file.refused), []).append(file.file)
            first.setdefault(str(file.refused), file.refused)
    for said, files in refused.items():
        more = f" and {len(files) - 1} more" if len(files) > 1 else ""
        at = _place(of.map, first[said]) or (of.map.place("files") if of.map.feed else Source(files[0]))
        yield Problem(at, f"nothing of {legible(files[0])}{more} can be read: {cut(said, _LONGEST)}")
    rows = sum(max(file.rows.values(), default=0) + file.aside for file in of.files)
    for why in of.whys:
        if why.reason.code in IMPOSSIBLE:  # asked about with the other figures of its field
            continue
        codes = {part.code for part in _all(why.reason)}
        if why.kept and codes & OF_A_NAME:
            yield _without_name(of, why)
            continue
        is_word = bool(codes & {"word-unknown", "word-misspelt", KIND})
        everywhere = not why.kept and why.files > 1 and why.files >= len(of.files) - 1  # the newest may be half written
        if not is_word and not everywhere and why.number <= max(1, FEW * rows):
            continue
        at = _place(of.map, why.reason) or (of.map.place("tables") if of.map.feed else why.at)
        fate = "are read without that cell" if why.kept else "are left out"
        n = f"{why.number} row{'s' if why.number > 1 else ''}"
        fate = fate if why.number > 1 else fate.replace("are ", "is ", 1)
        first_at = f"{legible(why.at.name)}:{why.at.line}"
        todo = "; add it to the words, as leave_out if it does not matter" if is_word else ""
        todo = "; which map's is it? If none's, write it to leave_out of an only" if KIND in codes else todo
        if everywhere and not todo and of.map.feed is not None and of.map.feed.form == "delimited":
            todo = "; is it a line of units or a total in every file? skip_lines leaves it out"
        yield Problem(at, f"{n} of {rows} {fate} (first {first_at}): {cut(str(why.reason), _LONGEST)}{todo}")


def _without_name(of: Tried, why: Why) -> Problem:
    """Files whose names do not say a field that they should: all their rows are without it, which is told once."""
    at = _place(of.map, why.reason) or of.map.place("files")
    n = f"{why.files} of {len(of.files)} files {'is' if why.files == 1 else 'are'} read without that field"
    return Problem(at, f"{n} (first {legible(why.at.name)}): {cut(str(why.reason), _LONGEST)}")


def _all(reason: Reason) -> Iterator[Reason]:
    yield reason
    for part in reason.parts():
        yield from _all(part)


def _place(of_map: MapFile, reason: Reason) -> Source | None:
    """Where in the map the field stands whose title a reason names; None if it names none."""
    if of_map.feed is None:
        return None
    named = {value for part in _all(reason) for name, value in part.values if name in ("place", "text", "what")}
    of_kind = any(part.code == KIND for part in _all(reason))
    for table, mapped in of_map.feed.table_maps.items():
        if of_kind and mapped.only is not None:
            return of_map.place(*of_map.steps(table, "only"))
        for name, one in mapped.fields().items():
            quarters = QUARTERS if mapped.each is not None else ("",)
            titles = {title_of(one, mapped, quarter) for quarter in quarters if _has(one.columns, quarter)}
            titles |= {plain_title(title) for title in one.names() if one.flags}
            titles |= {name} if one.file_name else set()
            if {f'"{legible(title)}"' for title in titles} & named:
                return of_map.place(*of_map.steps(table, name))
    return None


def _has(columns: object, quarter: str) -> bool:
    return not isinstance(columns, dict) or quarter in columns


def later_than_their_file(of: Tried) -> Iterator[Problem]:
    """The field of moments of each table of which more than single rows are later than their file was written."""
    told: set[str] = set()
    for file, batch in zip(of.files, of.batches, strict=True):
        for part in batch.rows:
            happened = table_named(part.table).happened
            place = part.columns.index(happened)
            late = [row[place] - file.modified_at for row in part.values if row[place] > file.modified_at + AHEAD_S]
            if len(late) <= max(1, FEW * len(part.values)) or happened in told:
                continue
            told.add(happened)
            at = of.map.place(*of.map.steps(part.table, happened)) if of.map.feed else Source(file.file)
            much = f"{max(late) / 3600:.1f} h" if max(late) < 48 * 3600 else f"{max(late) // 86400} days"
            yield Problem(
                at,
                f"{happened}: {len(late)} of {len(part.values)} rows of {legible(file.file)} are later than the file "
                f"itself, by up to {much}, and would wait: is it the zone, or the order of day and month?",
            )


def without_their_hour(of: Tried) -> Iterator[Problem]:
    """The field of moments of visits, quarters and boxes' logs whose rows are all of one time of day: only the day was
    read, and visits of one cow on a day would be one."""
    for table in (VISITS.name, QUARTER_ROWS.name, BOX_LOG.name):
        happened = table_named(table).happened
        parts = [part for batch in of.batches for part in batch.rows if part.table == table]
        clocks = {row[part.columns.index(happened)] % HOUR_S for part in parts for row in part.values}
        moments = {row[part.columns.index(happened)] for part in parts for row in part.values}
        rows = sum(len(part.values) for part in parts)
        if rows < FEWEST_OF_A_DAY or len(clocks) > 1 or len(moments) * FEWEST_OF_A_DAY > rows:
            continue
        at = of.map.place(*of.map.steps(table, happened)) if of.map.feed else Source(of.map.name)
        few = f"{len(moments)} moment{'s' * (len(moments) > 1)}"
        todo = "does another column say the time of day? Then write columns: [DAY, TIME]"
        yield Problem(at, f"{happened}: all {rows} rows of {table} are of {few}: {todo}")
        return
