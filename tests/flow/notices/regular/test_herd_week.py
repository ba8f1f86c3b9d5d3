"""The week's notice on the herd in words."""

from __future__ import annotations

from dataclasses import replace

from flow.notices.small_days import MIN, alert, at, desk, live, person, table

from sentinel.flow.alerts.incidents import Incident
from sentinel.flow.herd.cells import CellsOver, HerdCells, TankMean
from sentinel.flow.herd.figures import Averages
from sentinel.flow.herd.watched import Watched
from sentinel.flow.herd.week import HerdWeek
from sentinel.flow.measures.boxes.box_use import BoxUse
from sentinel.flow.measures.cells.periods import PeriodMean
from sentinel.flow.notices import next_due, plan
from sentinel.flow.notices.regular.herd_week import herd_week_notice
from sentinel.flow.settings.people import WeekTime

MARIT = person("Marit", herd_week=WeekTime("Mo 07:00", 0, 7 * 60))
FARM = desk(MARIT)
TANK = TankMean("1", "tank-cells", at("05:00"), 214.4, "", 400.0, 800.0, 260.2, 3)


def over(tank: float | None, cows: float | None) -> CellsOver:
    """A year's cells."""
    return CellsOver(PeriodMean(0, 10, tank, 1), PeriodMean(0, 10, cows, 1), True)


CELLS = HerdCells((TANK,), (), (over(205, 98),), over(243, 120), 400.0)
WEEK = HerdWeek(
    at("06:40"),
    Averages(145, 2.614, 28.44, 3.1, 3.24),
    Averages(144, 2.5, 27.9, 2.8, 4.1),
    10.0,
    BoxUse("2", 150, 1500, 60, 5.2, 60),
    CELLS,
    tuple(
        Watched(Incident(n, tuple(alert(n, at("06:00")) for _ in range(so_many))), alert(n, at("06:00")), way)  # type: ignore[arg-type]
        for n, (way, so_many) in enumerate((("worse", 2), ("easing", 1), ("steady", 1)))
    ),
)


def body(week: HerdWeek | str, farm=FARM) -> list[str]:
    """The notice's lines."""
    return herd_week_notice(at("07:00"), farm, MARIT, week).body.splitlines()


def test_it_says_the_week_in_a_handful_of_lines_each_with_what_was_before() -> None:
    """The herd, its cells against limit and last year, what stands, and until when that is known."""
    notice = herd_week_notice(at("07:00"), FARM, MARIT, WEEK)

    assert (notice.kind, notice.title, notice.urgency, notice.alerts) == (
        "herd-week", "The herd's week to Mon 4 May", "round", (),
    )  # fmt: skip
    assert notice.body.splitlines() == [
        "Cows in milk 145 (144), milkings per cow and day 2.61 (2.5).",
        "Milk per cow and day, kg: 28.4 (27.9).",
        "Late, % of the cows: 3.2 (4.1); the bound is 10.",
        "Milkings broken off or failed, %: 3.1 (2.8). Box 2 failed most: 5.2 %.",
        "Tank 1: cells average 214 k/ml, 186 below the limit of 400. A year ago 260.",
        "Mean cells this year, k/ml: tank 205, last year by now 243; cows 98, last year by now 120.",
        "4 open alerts with 3 causes: 1 getting worse, 1 easing.",
        "In brackets: the two weeks before. Data up to 06:40.",
    ]


def test_what_is_not_known_is_left_out_and_what_is_past_the_limit_is_said() -> None:
    """A new farm with a tank over the limit and one that cannot be told; single tests, where those count."""
    high = replace(TANK, mean_k_ml=450.0, year_ago_k_ml=None)
    few = replace(TANK, tank="2", mean_k_ml=None, why="only 1 test")
    single = replace(TANK, tank="3", months=0, year_ago_k_ml=None)
    cells = HerdCells((high, few, single), (), (), None, 400.0)
    week = HerdWeek(None, None, None, 10.0, None, cells, ())

    assert body(week) == [
        "No milking is known in the whole week.",
        "Tank 1: cells average 450 k/ml, 50 over the limit of 400.",
        "Tank 2: its mean cell count is not known yet.",
        "Tank 3: the last test read 214 k/ml cells, the limit is 400.",
        "No open alerts.",
    ]
    assert body(replace(WEEK, before=None))[0] == "Cows in milk 145, milkings per cow and day 2.61."
    assert body(replace(WEEK, watched=WEEK.watched[2:]))[-2] == "1 open alert, none of them changing."
    assert body(replace(WEEK, before=None))[-1] == "Data up to 06:40."


def test_what_could_not_be_worked_out_says_why() -> None:
    """It is sent all the same: who waits for it is not left to wonder."""
    assert body("How the herd is doing could not be worked out: x") == [
        "How the herd is doing could not be worked out: x"
    ]


def test_it_is_planned_beside_everything_else_and_worked_out_only_when_it_is_due() -> None:
    """It counts against no ceiling, and the farm looks again when it is due."""
    farm = desk(replace(MARIT, at_most=1, worklist=True))
    asked: list[int] = []

    def week() -> HerdWeek:
        asked.append(1)
        return WEEK

    early = plan(at("06:45"), farm, [], [], at("06:40"), {}, week=week)
    on_time = plan(at("07:00"), farm, [alert(1, at("07:00"))], [], at("06:45"), {}, week=week)

    assert (early, len(asked)) == ([], 1)
    assert table(on_time) == ["07:00 Marit alert 1", "07:00 Marit herd-week"]
    assert next_due(at("06:45"), desk(MARIT), [], []) == at("07:00")


def test_lived_through_it_comes_every_week_and_once() -> None:
    """Over three weeks in which the farm looks every hour as well, whatever else happens."""
    until = at("2026-05-20T00:00")
    hours = range(at("2026-05-04T00:30"), until, 60 * MIN)

    assert table(live(desk(MARIT), [], until, extra=hours)) == [
        "07:00 Marit herd-week", "11. 07:00 Marit herd-week", "18. 07:00 Marit herd-week",
    ]  # fmt: skip
