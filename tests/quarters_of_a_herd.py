"""Visits of a small herd whose quarters waver as healthy ones do, to be changed, and the evidence on them."""

from __future__ import annotations

import numpy as np
import pandas as pd
from text_tables import asked

from sentinel.flow.measures import measure_named
from sentinel.flow.model import HOUR_S, QUARTERS
from sentinel.flow.tables import VISITS, Tables, empty_frame

EVIDENCE, CHART = measure_named("udder_evidence"), measure_named("conductivity_ewma")
LF = "lf_conductivity_mS_cm"
ALL = [f"{quarter.lower()}_conductivity_mS_cm" for quarter in QUARTERS]


def herd(days: int = 20, cows: int = 12, boxes: int = 2, seed: int = 5) -> pd.DataFrame:
    """Visits of healthy cows, three a day, each to the boxes in turn; quarters waver by 1.5 %, their milk by 10 %."""
    chance = np.random.default_rng(seed)
    number = 3 * days * cows
    frame = empty_frame(VISITS).reindex(range(number))
    cow = np.arange(number) % cows
    turn = np.arange(number) // cows
    frame["cow"] = [f"{11 + one}" for one in cow]
    frame["box"] = [str(1 + one) for one in (turn + cow) % boxes]
    frame["start"] = (turn * 8 * HOUR_S + cow * 600).astype(np.int64)
    frame["outcome"] = "milked"
    level = 4.8 + 0.2 * chance.standard_normal((cows, 4))
    for place, quarter in enumerate(QUARTERS):
        own = level[cow, place] * np.exp(0.015 * chance.standard_normal(number))
        frame[f"{quarter.lower()}_conductivity_mS_cm"] = own.round(3)
        frame[f"{quarter.lower()}_milk_kg"] = (2.5 * np.exp(0.1 * chance.standard_normal(number))).round(3)
        frame[f"{quarter.lower()}_kicked_off"] = 0.0
    return frame


def of_cow(visits: pd.DataFrame, cow: str, last: int) -> np.ndarray:
    """The rows of a cow's last milkings."""
    return np.flatnonzero(visits["cow"] == cow)[-last:]


def changed(visits: pd.DataFrame, rows: np.ndarray, factor: float, *columns: str) -> pd.DataFrame:
    """The visits with some figures multiplied."""
    visits = visits.copy()
    for column in columns:
        visits.loc[rows, column] *= factor
    return visits


def evidence(visits: pd.DataFrame, subject: str = "") -> pd.DataFrame:
    """The readings of the evidence, of one quarter or all."""
    frame = asked(EVIDENCE.compute(Tables(visits=visits), "quarter", {}).frame)
    return frame[frame["subject"] == subject].reset_index(drop=True) if subject else frame
