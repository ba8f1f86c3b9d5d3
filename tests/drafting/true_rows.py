"""The true rows that samples are written from: simulated herds, and columns beside them that no table has."""

from __future__ import annotations

from datetime import date
from functools import cache

import numpy as np
import pandas as pd

from sentinel.flow.model import DAY_S, QUARTERS
from sentinel.flow.tables import QUARTER_VALUES
from sentinel.simulator import HerdSpec, Simulated, simulate

HERDS = {
    "built_on": ((60, 1, 11, date(2026, 1, 5)), (120, 2, 12, date(2026, 4, 13))),
    "farms": ((80, 2, 13, date(2026, 1, 19)), (140, 3, 14, date(2026, 5, 4))),
    "held_out": ((52, 1, 21, date(2026, 2, 9)), (150, 3, 22, date(2026, 8, 3))),
    "unlike": ((70, 2, 31, date(2026, 3, 2)), (135, 3, 32, date(2026, 10, 5))),
    "further": ((64, 2, 41, date(2026, 2, 16)), (125, 4, 42, date(2026, 9, 7))),
}
"""Cows, boxes, seed and first day of the herds of each part; each runs for 30 days."""


@cache
def herds(part: str) -> tuple[Simulated, ...]:
    """The herds of one part of the corpus."""
    return tuple(
        simulate(HerdSpec(cows=cows, boxes=boxes, days=30, seed=seed, start=start))
        for cows, boxes, seed, start in HERDS[part]
    )


def rows_of(kind: str, herd: Simulated, chance: np.random.Generator) -> pd.DataFrame:
    """Some rows of one kind of export, true in the tables' own units, with the columns of other things beside them."""
    return _KINDS[kind](herd, chance)


def _some(frame: pd.DataFrame, chance: np.random.Generator, most: int) -> pd.DataFrame:
    """A stretch of the rows, as an export holds it."""
    count = min(len(frame), int(chance.integers(most // 3, most)))
    first = int(chance.integers(0, len(frame) - count + 1))
    return frame.iloc[first : first + count].reset_index(drop=True)


def _visits(herd: Simulated, chance: np.random.Generator) -> pd.DataFrame:
    visits = herd.tables.visits
    if chance.random() < 0.4:
        visits = visits[(visits["outcome"] != "refused").to_numpy(bool)]
    rows = _some(visits, chance, 360).copy()
    n, milked = len(rows), rows["milk_kg"].notna().to_numpy(bool)
    own_flow = {cow: chance.normal(1.25, 0.25) for cow in rows["cow"].unique()}
    flow = rows["cow"].map(own_flow).to_numpy(float) + chance.normal(0, 0.12, n)
    milk = rows["milk_kg"].to_numpy(float)
    # From memory: peaks of single cows lie between some 2 and 7 kg a minute.
    peak = np.exp(flow) + chance.normal(0, 0.2, n)
    rows["peak_flow_kg_min"] = np.where(milked & (milk > 0.3), peak.clip(0.4, 9).round(2), np.nan)
    rows["end"] = rows["start"] + rows["duration_s"]
    _others_of_cows(rows, chance)
    rows["flow"] = np.where(milked, (rows["peak_flow_kg_min"] * chance.uniform(0.5, 0.75, n)).round(2), np.nan)
    rows["interval"] = chance.gamma(9, 0.95, n).round(1)
    rows["day_milk"] = chance.normal(30, 7, n).clip(8, 60).round(1)
    rows["expected"] = (milk * chance.normal(1, 0.12, n)).round(1)
    rows["milk_temp"] = np.where(milked, chance.normal(38.6, 0.3, n).round(1), np.nan)
    # When a server had the visit: a little after its end (our choice).
    rows["server"] = rows["end"] + chance.integers(15, 170, n)
    left = (rows["duration_s"] - rows["attach_s"].fillna(0) - chance.integers(10, 40, n)).clip(5)
    rows["flow_time"] = np.where(milked, left, np.nan)
    usual = np.where(milked, milk, chance.normal(10, 2.5, n).clip(2))
    rows["hoped"] = (usual * chance.normal(1, 0.12, n)).round(1)
    return rows


def _others_of_cows(rows: pd.DataFrame, chance: np.random.Generator) -> None:
    """What herd computers write of cows besides; ranges from memory."""
    n = len(rows)
    names = ["Alma", "Bella", "Cora", "Dora", "Elsa", "Flora", "Greta", "Hilda", "Iris", "Juno", "Klara", "Lotte"]
    cows = list(rows["cow"].unique())
    own = {
        "name": {cow: f"{names[i % 12]}{i // 12 or ''}" for i, cow in enumerate(cows)},
        "transponder": {cow: str(372_000_000_000_000 + int(chance.integers(10**11))) for cow in cows},
        "birth": {cow: int(1_600_000_000 + chance.integers(0, 1200) * DAY_S) for cow in cows},
        "insemination": {cow: int(1_760_000_000 + chance.integers(0, 200) * DAY_S) for cow in cows},
        "due": {cow: int(1_785_000_000 + chance.integers(0, 200) * DAY_S) for cow in cows},
        "breed": {cow: str(chance.choice(["HF", "JE", "SR", "FV"], p=[0.7, 0.1, 0.1, 0.1])) for cow in cows},
        "dim": {cow: int(chance.integers(1, 330)) for cow in cows},
    }
    for name, values in own.items():
        rows[name] = rows["cow"].map(values)
    rows["weight"] = chance.normal(640, 55, n).round()
    rows["feed"] = chance.gamma(4, 0.5, n).round(2)
    rows["fat"] = chance.normal(4.1, 0.4, n).round(2)
    rows["protein"] = chance.normal(3.4, 0.2, n).round(2)
    rows["activity"] = chance.normal(100, 25, n).clip(5).round()
    rows["rumination"] = chance.normal(480, 60, n).round()
    rows["row"] = np.arange(n) + int(chance.integers(1, 90_000))


def _quarters(herd: Simulated, chance: np.random.Generator) -> pd.DataFrame:
    """A row for each quarter."""
    visits = herd.tables.visits
    whole = _some(visits[visits["lf_milk_kg"].notna().to_numpy(bool)], chance, 120)
    parts = []
    for quarter in QUARTERS:
        part = whole[["cow", "start", "box"]].copy()
        for value in QUARTER_VALUES:
            part[value] = whole[f"{quarter.lower()}_{value}"]
        part["quarter"] = quarter
        part["place"] = QUARTERS.index(quarter)
        parts.append(part)
    rows = pd.concat(parts).sort_values(["start", "cow", "place"], ignore_index=True).drop(columns="place")
    rows["row"] = np.arange(len(rows)) + int(chance.integers(1, 90_000))
    rows["milk_temp"] = chance.normal(38.6, 0.3, len(rows)).round(1)
    return rows


def _box_log(herd: Simulated, chance: np.random.Generator) -> pd.DataFrame:
    log = herd.tables.box_log
    rows = _some(log, chance, min(200, len(log))).copy()
    n = len(rows)
    some = chance.random(n) < 0.15
    rows.loc[some, "event"] = chance.choice(["stopped", "started", "fault"], int(some.sum()))
    rows["operator"] = chance.choice(["A", "B", "C"], n)
    rows["row"] = np.arange(n) + int(chance.integers(1, 90_000))
    texts = [None, "after the morning round", "by hand", "see manual 4.2"]
    rows["text"] = np.array(texts, object)[chance.integers(0, 4, n)]
    return rows


def _cows(herd: Simulated, chance: np.random.Generator) -> pd.DataFrame:
    cows = herd.tables.cows.drop_duplicates("cow", keep="last").sort_values("cow", ignore_index=True).copy()
    some = chance.random(len(cows)) < 0.05
    cows.loc[some & (cows["status"] == "milking").to_numpy(bool), "status"] = "withheld"
    _others_of_cows(cows, chance)
    cows["day_milk"] = chance.normal(30, 7, len(cows)).clip(8, 60).round(1)
    return cows


def _tank(herd: Simulated, chance: np.random.Generator) -> pd.DataFrame:
    tank = herd.tables.tank
    rows = _some(tank[tank["litres"].notna().to_numpy(bool)], chance, 300).copy()
    rows["agitator"] = chance.integers(0, 2, len(rows))
    rows["row"] = np.arange(len(rows)) + int(chance.integers(1, 90_000))
    rows["room"] = (7 + 4 * np.sin(np.arange(len(rows)) / 4) + chance.normal(0, 0.5, len(rows))).round(1)
    return rows


def _laboratory(herd: Simulated, chance: np.random.Generator) -> pd.DataFrame:
    """Two years of a tank's results, every other day."""
    n = int(chance.integers(20, 150))
    first = int(herd.tables.tank["at"].iloc[0])
    level = np.exp(chance.normal(5.25, 0.2) + np.cumsum(chance.normal(0, 0.03, n)))
    rows = pd.DataFrame({"tank": "1", "at": first - 7200 + np.arange(n) * 2 * DAY_S})
    rows["cells_k_ml"] = (level * chance.normal(1, 0.05, n)).round()
    rows["bacteria_k_ml"] = np.exp(chance.normal(2.2, 0.5, n)).round().clip(1)
    rows["fat"] = chance.normal(4.2, 0.1, n).round(2)
    rows["protein"] = chance.normal(3.45, 0.06, n).round(2)
    return rows


def _cow_tests(herd: Simulated, chance: np.random.Generator) -> pd.DataFrame:
    """One to four monthly recordings of the herd."""
    cows = herd.tables.cows["cow"].unique()
    first = int(herd.tables.tank["at"].iloc[0])
    own = {cow: chance.normal(4.4, 0.9) for cow in cows}
    parts = []
    for month in range(int(chance.integers(1, 5))):
        tested = [cow for cow in cows if chance.random() < 0.87]
        part = pd.DataFrame({"cow": tested, "at": first + month * 30 * DAY_S})
        part["cells_k_ml"] = np.exp(part["cow"].map(own) + chance.normal(0, 0.5, len(part))).round().clip(5)
        part["milk_kg"] = chance.normal(29, 8, len(part)).clip(5).round(1)
        parts.append(part)
    rows = pd.concat(parts, ignore_index=True)
    rows["lactation"] = rows["cow"].map({cow: int(chance.integers(1, 6)) for cow in cows})
    rows["fat"] = chance.normal(4.1, 0.5, len(rows)).round(2)
    rows["protein"] = chance.normal(3.4, 0.25, len(rows)).round(2)
    rows["name"] = [f"Cow {cow}" for cow in rows["cow"]]
    before = np.exp(rows["cow"].map(own) + chance.normal(0, 0.5, len(rows))).round().clip(5)
    rows["previous"] = before.where(chance.random(len(rows)) < 0.85)
    return rows


_KINDS = {
    "visits": _visits,
    "visits and quarters": _visits,
    "quarters": _quarters,
    "box_log": _box_log,
    "cows": _cows,
    "tank": _tank,
    "laboratory": _laboratory,
    "cow_tests": _cow_tests,
}
KINDS = tuple(_KINDS)
