"""`herd`: how the herd is doing, against the weeks and years before."""

from __future__ import annotations

from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmDir, now, open_farm, out, print_json
from sentinel.edges.store.alerts import standing_alerts
from sentinel.flow.herd.boxes import BoxCompared
from sentinel.flow.herd.cells import CellsOver
from sentinel.flow.herd.compared import Compared
from sentinel.flow.herd.figures import Figures
from sentinel.flow.language import Words, english
from sentinel.flow.measures.boxes.box_use import BoxUse
from sentinel.flow.views.charts.herd import month_words
from sentinel.flow.views.for_programs.herd_record import herd_record
from sentinel.flow.views.herd import HerdPage, herd_page
from sentinel.flow.views.parts.snapshot import Snapshot
from sentinel.runtime.farm_now import tables_now
from sentinel.runtime.known.herd_history import HerdHistory

MONTHS_SHOWN = 13
CELLS = ("tank", "tests", "cows", "tests")


def herd(
    folder: FarmDir = HERE,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object, for programs.")] = False,
) -> None:
    """How the herd is doing: milk, late cows, boxes, cells and open alerts, compared with earlier weeks and years."""
    with open_farm(folder) as yard:
        store, setup, at = yard.store, yard.setup, now()
        tables, alerts = tables_now(store, setup, at), tuple(standing_alerts(store))
        past = HerdHistory(store).past(tables, setup.rules, setup.farm.zone, at)
        words = english(setup.farm.zone, setup.farm.decimal)
        page = herd_page(Snapshot(at, setup.farm, (), setup.rules, tables, alerts, words), past)
    if as_json:
        print_json([herd_record(page, at)])
        return
    _figures(page, words, at)
    _boxes(page, words)
    _cells(page, words)
    ways = [one.way for one in page.watched]
    stand = f"{ways.count('worse')} getting worse, {ways.count('easing')} easing; `sentinel alerts` lists them"
    out.print(f"Open alerts: {len(ways)}{f' ({stand})' if ways else ''}.")


def _shown(value: float | None, words: Words, places: int = 1) -> str:
    return "" if value is None else words.habit.figure(value, places, least=places)


def _figures(page: HerdPage, words: Words, at: int) -> None:
    """The last 24 h against what is usual."""
    found = page.figures
    if found is None or page.known_until is None:
        out.print("No milkings are known yet.")
        return
    until = words.time(page.known_until, at)
    out.print(f"The 24 h up to {until}, as today is not over, compared with the {found.days} full days before.")
    rows: tuple[tuple[str, Compared, int], ...] = (
        ("cows in milk", found.cows, 0),
        ("milkings per cow", found.per_cow, 2),
        ("milk per cow, kg", found.kg_per_cow, 1),
        (f"late now, % (bound {words.number(found.late_bound)})", found.late_pct, 1),
        ("broken off or failed, %", found.unfinished_pct, 1),
    )
    head = ("", "24 h", "usual", "before", "a year ago", "so it is")
    out.table(head, [(name, *_of(figure, words, places)) for name, figure, places in rows], head[1:5])
    late = ", ".join(f"{cow.cow} ({words.number(cow.hours)} h)" for cow in page.late.cows)
    if late:
        out.print(f"Late: {late}.")
    _partly(found)


def _partly(found: Figures) -> None:
    """That the last 24 h are not known as a whole."""
    if found.last is None:
        out.print("The last 24 h are not known in full yet.")


def _of(figure: Compared, words: Words, places: int) -> tuple[str, ...]:
    values = (figure.now, figure.usual, figure.before, figure.year_before)
    return (*(_shown(value, words, places) for value in values), figure.verdict.replace("-", " "))


def _boxes(page: HerdPage, words: Words) -> None:
    """Each box now, as usual, and before."""
    rows = [row for box in page.boxes for row in _box_rows(box, words)]
    if rows:
        figures = ("visits", "kg", "busy %", "free h", "failed %", "attach s")
        out.table(("box", "", *figures), rows, figures)


def _box_rows(box: BoxCompared, words: Words) -> list[tuple[str, ...]]:
    spans: tuple[tuple[str, BoxUse | None], ...] = (("24 h", box.now), ("usual", box.usual), ("before", box.before))
    return [
        (
            box.box,
            name,
            _shown(use.visits, words, 0),
            _shown(use.milk_kg, words, 0),
            _shown(use.busy_pct, words, 0),
            _shown(use.free_h, words),
            _shown(use.failed_pct, words),
            _shown(use.attach_s, words, 0),
        )
        for name, use in spans
        if use is not None
    ]


def _cells(page: HerdPage, words: Words) -> None:
    """Each tank against the limit, and cells by year and month."""
    cells = page.cells
    for tank in cells.tanks:
        if tank.mean_k_ml is None or tank.room_k_ml is None:
            out.print(f"Tank {tank.tank}: cells: {tank.why}.")
            continue
        side = "below" if tank.room_k_ml >= 0 else "over"
        room, limit = words.number(abs(tank.room_k_ml), 0), words.number(tank.limit_k_ml, 0)
        ago = "" if tank.year_ago_k_ml is None else f"; a year ago {words.number(tank.year_ago_k_ml, 0)}"
        mean = words.number(tank.mean_k_ml, 0)
        out.print(f"Tank {tank.tank}: cells {mean} k/ml, {room} {side} the limit of {limit}{ago}.")
    rows = [_over(str(words.local(one.begins).year), one, words) for one in reversed(cells.years)]
    if cells.same_part is not None and rows:
        rows.insert(1, _over(f"{words.local(cells.same_part.begins).year} by now", cells.same_part, words))
    months = list(reversed(cells.months))[:MONTHS_SHOWN]
    rows += [_over(month_words(one.begins, words), one, words) for one in months]
    if rows:
        out.table(("cells, k/ml", *CELLS), rows, CELLS)


def _over(name: str, one: CellsOver, words: Words) -> tuple[str, ...]:
    named = f"{name} so far" if one.running else name
    tank, cows = _shown(one.tank.mean_k_ml, words, 0), _shown(one.cows.mean_k_ml, words, 0)
    return (named, tank, str(one.tank.tests or ""), cows, str(one.cows.tests or ""))
