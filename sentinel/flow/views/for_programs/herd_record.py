"""How the herd is doing, as one object for programs."""

from __future__ import annotations

from typing import Any

from sentinel.flow.herd.boxes import BoxCompared
from sentinel.flow.herd.cells import CellsOver, TankMean
from sentinel.flow.herd.compared import Compared
from sentinel.flow.herd.watched import Watched
from sentinel.flow.measures.boxes.box_use import BoxUse
from sentinel.flow.measures.milking.herd_days import HerdDay
from sentinel.flow.views.herd import HerdPage
from sentinel.flow.views.parts.records import rfc3339

PLACES = 3


def herd_record(page: HerdPage, at: int) -> dict[str, Any]:
    """The herd's page for programs: what is not known is null, a figure's unit stands in its name."""
    figures = page.figures
    return {
        "at": rfc3339(at),
        "known_until": None if page.known_until is None else rfc3339(page.known_until),
        "cows_by_status": dict(page.status),
        "days_compared": 0 if figures is None else figures.days,
        "days_before": 0 if figures is None else figures.days_before,
        "late_bound_pct": None if figures is None else figures.late_bound,
        "figures": {}
        if figures is None
        else {
            "cows_in_milk": _compared(figures.cows),
            "milkings_per_cow_day": _compared(figures.per_cow),
            "milk_kg_per_cow_day": _compared(figures.kg_per_cow),
            "late_pct": _compared(figures.late_pct),
            "broken_off_or_failed_pct": _compared(figures.unfinished_pct),
        },
        "late_cows": [
            {"cow": late.cow, "hours": _round(late.hours), "bound_h": _round(late.bound_h)} for late in page.late.cows
        ],
        "boxes": [_box(box) for box in page.boxes],
        "tanks": [_tank(tank) for tank in page.cells.tanks],
        "months": [_cells(one) for one in page.cells.months],
        "years": [_cells(one) for one in page.cells.years],
        "last_year_by_now": None if page.cells.same_part is None else _cells(page.cells.same_part),
        "standing": [_watched(one) for one in page.watched],
        "days": [_day(day) for day in page.days],
    }


def _round(value: float | None) -> float | None:
    return None if value is None else round(float(value), PLACES)


def _compared(figure: Compared) -> dict[str, Any]:
    return {
        "last_24h": _round(figure.now),
        "usual": _round(figure.usual),
        "before": _round(figure.before),
        "year_before": _round(figure.year_before),
        "verdict": figure.verdict or None,
    }


def _box(box: BoxCompared) -> dict[str, Any]:
    return {"box": box.box, "last_24h": _use(box.now), "usual": _use(box.usual), "before": _use(box.before)}


def _use(use: BoxUse | None) -> dict[str, Any] | None:
    if use is None:
        return None
    return {
        "visits": _round(use.visits),
        "milk_kg": _round(use.milk_kg),
        "busy_pct": _round(use.busy_pct),
        "failed_pct": _round(use.failed_pct),
        "attach_s": _round(use.attach_s),
        "free_h": _round(use.free_h),
    }


def _tank(tank: TankMean) -> dict[str, Any]:
    return {
        "tank": tank.tank,
        "rule": tank.rule,
        "tested_at": rfc3339(tank.at),
        "mean_k_ml": _round(tank.mean_k_ml),
        "why": tank.why or None,
        "limit_k_ml": tank.limit_k_ml,
        "below_limit_k_ml": _round(tank.room_k_ml),
        "next_test_at_most_k_ml": _round(tank.headroom_k_ml),
        "year_ago_k_ml": _round(tank.year_ago_k_ml),
    }


def _cells(one: CellsOver) -> dict[str, Any]:
    return {
        "from": rfc3339(one.begins),
        "to": rfc3339(one.tank.ends),
        "running": one.running,
        "tank_k_ml": _round(one.tank.mean_k_ml),
        "tank_tests": one.tank.tests,
        "cows_k_ml": _round(one.cows.mean_k_ml),
        "cow_tests": one.cows.tests,
    }


def _watched(one: Watched) -> dict[str, Any]:
    alert = one.alert
    return {
        "incident": one.incident.id,
        "alert": alert.id,
        "rule": alert.rule,
        "subject": alert.subject,
        "since": rfc3339(alert.since),
        "way": one.way,
        "text": alert.text,
    }


def _day(day: HerdDay) -> dict[str, Any]:
    return {
        "from": rfc3339(day.begins),
        "to": rfc3339(day.ends),
        "whole": day.whole,
        "cows_in_milk": day.cows,
        "milkings": day.milkings,
        "milk_kg": _round(day.milk_kg),
        "broken_off": day.broken_off,
        "failed": day.failed,
    }
