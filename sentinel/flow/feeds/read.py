"""Reading one export by its feed map: tidy rows by table, and what was set aside.

A cell that cannot be read costs that cell: the row is kept without it, as long as its key (who, when) can be read, and
what could not be read is told with its line and reason. A row without its key is set aside for that table.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from sentinel.flow.bounds import USUAL, Bounds, legible
from sentinel.flow.feeds.feed_map import FeedMap, Only
from sentinel.flow.feeds.formats.delimited import open_delimited
from sentinel.flow.feeds.formats.json_lines import open_json_lines
from sentinel.flow.feeds.formats.raw import Chunk, Opened, SetAsides, plain_title, set_aside, whole_file
from sentinel.flow.feeds.formats.sheet import Unpack, open_sheet
from sentinel.flow.feeds.formats.workbook import workbook_rows
from sentinel.flow.feeds.night import Written, passes
from sentinel.flow.feeds.plans import TablePlan, Work, titles_of
from sentinel.flow.feeds.times import LocalTimes, local_seconds
from sentinel.flow.feeds.unread import Lost, placed_in_time
from sentinel.flow.feeds.values import Faults, as_text, shown, titled, why_of
from sentinel.flow.model import Batch, Export, Rows, SetAside
from sentinel.flow.reasons import LISTED, Reason, as_said, several
from sentinel.flow.tables import VISITS
from sentinel.flow.yaml.text import hint

_MOST_TITLES = 40
_TITLES_NAMED = 3
_TITLES_SHOWN = 8
"""So many titles of a file are looked at for what was meant; so many that it lacks are named, and so many that it has:
nobody reads more, least of all on a phone."""


def read_export(
    feed: FeedMap,
    export: Export,
    zone: str,
    bounds: Bounds = USUAL,
    unpack: Unpack = workbook_rows,
    divisions: Sequence[Only] = (),
) -> Batch:
    """Read one export by its feed map; `zone` is the farm's, for naive times if the map names none.

    Never raises for what is in the file; one that is larger than the `bounds` is set aside whole. `unpack` gives the
    rows of a workbook. `divisions`: by what several maps divide the file's rows; those that none takes are set aside.
    """
    batch, locals_ = _read(feed, export, zone, bounds, unpack, divisions)
    if feed.clock_change.repeated == "order" and any(local.near and local.repeated == "order" for local in locals_):
        # Which pass of the repeated hour a row belongs to hangs on all the rows: read them all, then once more by that.
        export = replace(export, read_from=0)
        _, locals_ = _read(feed, export, zone, bounds, unpack, divisions, listen=True)
        written = _written(feed, export, zone)
        pass_marks = [passes(local.heard, written) for local in locals_]
        batch, _ = _read(feed, export, zone, bounds, unpack, divisions, pass_marks=pass_marks)
    return replace(batch, continues=export.read_from > 0)


def _written(feed: FeedMap, export: Export, zone: str) -> Written:
    """When the file was written: as the folder says, and as its name says."""
    named: tuple[int, ...] = ()
    if feed.complete_until is not None and feed.complete_until.from_ == "file_name":
        moments = (_stamp(feed, export, zone, repeated, moved=True) for repeated in ("first", "second"))
        named = tuple(moment for moment in moments if moment is not None)
    return Written(export.modified_at, named, feed.comes_hourly)


def refused(feed: FeedMap, name: str, why: Reason) -> Batch:
    """A file that is set aside whole, and why; it keeps no promise, as its rows are missing."""
    return Batch(feed.feed, name, set_aside=(whole_file(why, _likely_table(list(feed.table_maps))),))


def _read(
    feed: FeedMap,
    export: Export,
    zone: str,
    bounds: Bounds,
    unpack: Unpack,
    divisions: Sequence[Only],
    *,
    listen: bool = False,
    pass_marks: Sequence[Sequence[bool | None]] = (),
) -> tuple[Batch, list[LocalTimes]]:
    """The batch, and the readers of its naive times in the order in which they were made."""
    stamp, until = _stamp(feed, export, zone), complete_until(feed, export, zone)
    batch = Batch(feed.feed, export.name, (), (), until, hashlib.sha256(export.content).hexdigest())
    plans = [TablePlan(name, one, one.rows_key()) for name, one in feed.table_maps.items()]
    tab = _likely_table([plan.name for plan in plans])
    opened = Opened(refused=bounds.too_large) if len(export.content) > bounds.size else Opened()
    opened = opened if opened.refused else _open(feed, export, plans, divisions, bounds, unpack)
    reason = opened.refused or _missing_titles(opened.titles, plans)
    if not reason and stamp is None and any(f.stamp for plan in plans for f in plan.map.fields().values()):
        pattern = feed.complete_until and feed.complete_until.pattern
        reason = Reason("name-unlike-pattern", pattern=str(pattern))
    # A file that was not read keeps no promise: its rows are missing, so nothing is known up to its stamp.
    if reason:
        return replace(batch, set_aside=(whole_file(reason, tab),), complete_until=None), []
    index = {title: i for i, title in enumerate(opened.titles)}
    work = Work(feed, feed.zone or zone, stamp, index, export.name, listen=listen, pass_marks=pass_marks)
    for plan in plans:
        plan.prepare(work)
    keyless = next((why for plan in plans for name, why in plan.unsaid.items() if name in plan.keys), None)
    if keyless is not None:
        return replace(batch, set_aside=(whole_file(keyless, tab),), complete_until=None), []
    known = [(index[title], one) for one in divisions if (title := plain_title(one.column)) in index]
    for chunk in opened.chunks:
        _set_strange_aside(chunk, known, opened.set_aside)
        _convert(chunk, plans, opened.set_aside)
    if opened.refused:
        return replace(batch, set_aside=(whole_file(opened.refused, tab),), complete_until=None), []
    rows = tuple(part for plan in plans for part in plan.parts.rows())
    aside = [one if one.tab else replace(one, tab=tab) for one in (*opened.set_aside, *_without_name(plans, rows))]
    aside = placed_in_time(sorted(aside, key=lambda one: one.line), rows)
    return replace(batch, rows=rows, set_aside=tuple(aside)), work.locals


def _set_strange_aside(chunk: Chunk, known: Sequence[tuple[int, Only]], aside: SetAsides) -> None:
    """Set the rows aside whose kind no map takes; `known`: the kinds that are known, with the place of their column."""
    kinds = [(place, one.known) for place, one in known]
    for line, row, raw in zip(chunk.lines, chunk.rows, chunk.raws, strict=True) if kinds else ():
        if not any(as_text(row[place]) in words for place, words in kinds):
            place, one = known[0]
            aside.keep(line, raw, titled(plain_title(one.column), Reason("kind-unknown", what=shown(row[place]))))


def _without_name(plans: Sequence[TablePlan], parts: Sequence[Rows]) -> Iterator[SetAside]:
    """What the file's name should say of its rows and does not, with the first of them; each field once."""
    told: set[str] = set()
    for plan in plans:
        lines = [part.lines[0] for part in parts if part.table == plan.name and part.lines]
        for name, why in plan.unsaid.items() if lines else ():
            if name not in told:
                told.add(name)
                yield replace(
                    set_aside(min(lines), "", why if why.code == "at-place" else titled(name, why)),
                    kept=True,
                    tab=plan.name,
                )


def _likely_table(names: Sequence[str]) -> str:
    """The table of a row of which not even that can be told: a visit where the file has visits."""
    return VISITS.name if VISITS.name in names else names[0]


def _open(
    feed: FeedMap,
    export: Export,
    plans: Sequence[TablePlan],
    divisions: Sequence[Only],
    bounds: Bounds,
    unpack: Unpack,
) -> Opened:
    if feed.form == "xlsx":
        return open_sheet(feed, export, bounds, unpack)
    if feed.form == "json_lines":
        titles = [title for plan in plans for title in plan.titles()] + [plain_title(one.column) for one in divisions]
        return open_json_lines(feed, export, list(dict.fromkeys(titles)), bounds)
    return open_delimited(feed, export, bounds)


def _missing_titles(titles: Sequence[str], plans: Sequence[TablePlan]) -> Reason | None:
    """Why the file's columns are not the map's; None if they are."""
    there = [t for t in titles[:_MOST_TITLES] if t]
    missing = [t for t in dict.fromkeys(t for plan in plans for t in plan.titles()) if t not in titles]
    if not missing:
        return None
    named, few = [], missing[:_TITLES_NAMED]
    for title in few:
        nearest = hint(title, there, _TITLES_SHOWN)
        if nearest and nearest.code == "known-here" and title != few[-1]:
            nearest = None  # what there is need be listed once
        named.append(_with(as_said(f'"{legible(title)}"'), nearest))
    more = len(missing) - len(few)
    lacks = _with(several(named, LISTED), Reason("and-more", n=more) if more else None)
    return Reason("titles-missing-one-column" if len(there) <= 1 else "titles-missing", titles=lacks)


def _with(what: Reason, hint_of_it: Reason | None) -> Reason:
    """A part of a sentence with a hint behind it, if there is one."""
    return what if hint_of_it is None else Reason("with-hint", what=what, hint=hint_of_it)


def complete_until(feed: FeedMap, export: Export, zone: str, repeated: str = "first") -> int | None:
    """The moment up to which the file's own stamp promises completeness, in UTC seconds, or None.

    Where the map adds to the stamp, a file last written before that moment promises nothing: its day is not over.
    """
    until = _stamp(feed, export, zone, repeated, moved=True)
    has_come = feed.complete_until is None or feed.complete_until.plus is None or until is None
    return until if has_come or (until or 0) <= export.modified_at else None


def _stamp(feed: FeedMap, export: Export, zone: str, repeated: str = "first", *, moved: bool = False) -> int | None:
    """The file's own stamp in UTC seconds, or None; `moved` by what the map adds to it.

    The pattern is compared with the file's name, with and without its last extension. A local time that came twice is
    of the pass `repeated`: the first, which promises less.
    """
    promise = feed.complete_until
    if promise is None:
        return None
    if promise.from_ == "file_time":
        return export.modified_at
    name = export.name.rpartition("/")[2]
    for part in (name, name.rpartition(".")[0]):
        try:
            moment = datetime.strptime(part, promise.pattern or "")  # noqa: DTZ007  (the zone is the map's)
            plus = promise.plus if moved else None
            days = plus is not None and plus.is_days
            if moment.tzinfo is not None:
                return int(moment.timestamp()) + (plus.seconds if plus else 0)
            wall = plus.after(moment) if plus is not None and days else moment
            utc = LocalTimes(feed.zone or zone, repeated, "shift").utc(local_seconds(wall))
            return utc if plus is None or days else utc + plus.seconds
        except (ValueError, OverflowError):
            continue
    return None


@dataclass(slots=True)
class _Unread:
    """What a table's plan could not read of a chunk, by the row's place among those chosen.

    `keyless`: why a row has no key, perhaps with the moments between which it was.
    `cells`: by quarter the other columns that could not be read, each with its reason.
    """

    keyless: Faults = field(default_factory=dict)
    cells: dict[int, dict[int, dict[str, Reason]]] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.keyless or self.cells)

    def reasons(self, at: int) -> list[Reason]:
        """Why a row's cells could not be read."""
        return [reason for columns in self.cells.get(at, {}).values() for reason in columns.values()]


def _convert(chunk: Chunk, plans: Sequence[TablePlan], aside: SetAsides) -> None:
    """Convert a chunk for all tables, keep what can be read, and set aside what cannot."""
    lost: dict[int, Lost] = {}
    for plan in plans:
        chosen = plan.choose(chunk)
        indexes: Sequence[int] = range(len(chunk.rows)) if chosen is None else chosen
        unread = _Unread()
        values = [_columns(plan, group, chunk, chosen, unread) for group in range(len(plan.sources))]
        _keep(plan, [chunk.lines[i] for i in indexes], values, unread)
        for at in sorted({*unread.keyless, *unread.cells}):
            known = {name: column[at] for name, column in zip(plan.columns, values[0], strict=True)}
            lost_of_row = lost.setdefault(indexes[at], Lost())
            if at in unread.keyless:
                lost_of_row.row(plan.name, unread.keyless[at], known)
            else:
                lost_of_row.cells(plan.name, unread.reasons(at), known)
    for i, one in sorted(lost.items()):
        aside.append(one.fill_in(aside.made(chunk.lines[i], chunk.raws[i], one.reason)))


def _columns(
    plan: TablePlan, group: int, chunk: Chunk, chosen: Sequence[int] | None, unread: _Unread
) -> list[list[Any]]:
    """The columns of a table, or of one of its quarters; notes in `unread` what could not be read."""
    sources = plan.sources[group]
    columns = [source.read(chunk, chosen) for source in sources]
    for place, source in enumerate(sources):
        for at, reason in source.faults.items():
            if place in plan.required:
                unread.keyless.setdefault(at, reason)
            else:
                unread.cells.setdefault(at, {}).setdefault(group, {})[plan.columns[place]] = why_of(reason)
    for place in plan.required:
        if None in columns[place]:
            for at, value in enumerate(columns[place]):
                if value is None:
                    unread.keyless.setdefault(at, _empty_key(plan, place))
    return columns


def _keep(plan: TablePlan, lines: Sequence[int], values: list[list[list[Any]]], unread: _Unread) -> None:
    """Add the rows whose key could be read to a table, each without the cells that could not.

    A quarter of which nothing is known gives no row. How a visit ended is `unknown` where it could not be read.
    """
    if not unread and plan.map.each is None:
        part = plan.parts.part()
        part.values.extend(zip(*values[0], strict=True))
        part.lines.extend(lines)
        return
    has_values = [not plan.optional or any(None not in columns[i] for i in plan.optional) for columns in values]
    rows = zip(*(zip(*columns, strict=True) for columns in values), strict=True)
    if not unread and all(has_values):  # every quarter has something: nothing to choose
        part = plan.parts.part()
        part.values.extend(row for group in rows for row in group)
        part.lines.extend(line for line in lines for _ in values)
        return
    for at, groups in enumerate(rows):
        if at in unread.keyless:
            continue
        cells = unread.cells.get(at, {})
        for group, row in enumerate(groups):
            if plan.tells(row):
                plan.add(row, lines[at], cells.get(group, {}).keys())


def _empty_key(plan: TablePlan, place: int) -> Reason:
    """The reason of a row whose key is empty."""
    name = plan.columns[place]
    titles = " and ".join(f'"{t}"' for t in titles_of(getattr(plan.map, name), plan.map))
    return Reason("key-empty", what=titles or name, table=plan.name)
