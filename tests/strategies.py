"""Hypothesis strategies for invented herds: small tables with ties, gaps, missing values and awkward moments."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pandas as pd
from hypothesis import strategies as st

from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import (
    BOX_LOG,
    CHORES,
    COWS,
    DELIVERIES,
    FILES,
    QUARTERS,
    VISITS,
    ChoreFacts,
    FarmFacts,
    FeedFacts,
    Table,
    Tables,
    frame_types,
)

DAY_0 = 1_717_372_800
COW_NAMES = ("7", "9", "10")
BOX_NAMES = ("1", "2")
NAN = float("nan")

# Readings of LF, RF, LR, RR: ordinary, one high, some missing, a dry quarter, a dead sensor, none at all.
READINGS = (
    (4.83, 5.07, 5.11, 4.97),
    (5.02, 5.13, 4.79, 5.31),
    (4.91, 6.43, 5.03, 4.88),
    (5.37, NAN, 5.19, 5.23),
    (NAN, NAN, 5.09, 4.93),
    (NAN, NAN, NAN, 7.21),
    (0.0, 5.17, 5.29, 4.71),
    (NAN, NAN, NAN, NAN),
)
KICKED_OFF = ((0.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0), (1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 1.0, 1.0), (NAN,) * 4)
OUTCOMES = ("milked", "milked", "milked", "incomplete", "failed", "refused", None)

HOW_IT_WENT = tuple(product((*BOX_NAMES, *BOX_NAMES, None), OUTCOMES, READINGS, KICKED_OFF))

moments = st.sampled_from([DAY_0 + step * HOUR_S + second for step in range(40 * 24) for second in (0, 0, 0, -1, 1)])
"""Moments over 40 days, mostly on the hour so that they meet, sometimes a second beside it."""

close_moments = st.sampled_from([DAY_0 + step * HOUR_S + second for step in range(72) for second in (0, 0, 0, -1, 1)])
"""The same within three days."""


def frame_of(table: Table, rows: list[dict[str, Any]]) -> pd.DataFrame:
    """A frame of the table from rows that may lack columns; a repeated key keeps its last row; sorted as promised."""
    by_key = {(row[table.happened], *(str(row[name] or "") for name in table.key)): row for row in rows}
    kept = [by_key[key] for key in sorted(by_key)]
    kinds = frame_types(table)
    numbers = [name for name, kind in kinds.items() if kind == "float64"]
    values = np.array([[row.get(name, NAN) for name in numbers] for row in kept], dtype=float)
    frame = pd.DataFrame(values.reshape(len(kept), len(numbers)), columns=numbers)
    for name in kinds.keys() - set(numbers):
        frame[name] = pd.Series([row.get(name) for row in kept], dtype=kinds[name])
    return frame[list(kinds)]


@st.composite
def visit_frames(draw: st.DrawFn, most: int = 40) -> pd.DataFrame:
    """Visits of a few cows, spread over 40 days or crowded into three."""
    when = draw(st.sampled_from((moments, close_moments)))
    cows = draw(st.sampled_from((COW_NAMES, COW_NAMES[:1])))
    row = st.tuples(st.sampled_from(cows), when, st.sampled_from(HOW_IT_WENT))
    rows = []
    for cow, start, (box, outcome, readings, kicked) in draw(st.lists(row, max_size=most)):
        quarters = {f"{q.lower()}_conductivity_mS_cm": c for q, c in zip(QUARTERS, readings, strict=True)}
        quarters |= {f"{q.lower()}_kicked_off": k for q, k in zip(QUARTERS, kicked, strict=True)}
        rows.append({"cow": cow, "start": start, "box": box, "outcome": outcome, **quarters})
    return frame_of(VISITS, rows)


def _frames(table: Table, most: int = 8, **columns: st.SearchStrategy[Any]) -> st.SearchStrategy[pd.DataFrame]:
    return st.lists(st.fixed_dictionaries(columns), max_size=most).map(lambda rows: frame_of(table, rows))


box_logs = _frames(
    BOX_LOG,
    box=st.sampled_from((*BOX_NAMES, "3")),
    at=moments,
    event=st.sampled_from(("filter_changed", "washed", "fault")),
)
herd_lists = _frames(
    COWS,
    **{
        "cow": st.sampled_from(COW_NAMES),
        "from": close_moments,
        "milkings_allowed": st.sampled_from((NAN, 1.0, 3.0)),
        "status": st.sampled_from(("milking", "milking", "dry", "withheld", None)),
    },
)
chore_frames = _frames(
    CHORES,
    chore=st.sampled_from(("filter", "wash", "wire")),
    place=st.sampled_from(("1", "2", "east", "", None)),
    at=moments,
)
file_frames = _frames(
    FILES,
    feed=st.sampled_from(("visits", "box-log")),
    file=st.sampled_from(("a.csv", "b.csv")),
    at=moments,
    rows_read=st.just(20.0),
    rows_set_aside=st.sampled_from((0.0, 3.0, NAN)),
    reason=st.sampled_from(("a number is not one", None)),
)
delivery_frames = _frames(
    DELIVERIES,
    most=14,
    notice=st.integers(1, 30).map(str),
    channel=st.sampled_from(("phone", "post")),
    at=moments,
    outcome=st.sampled_from(("delivered", "gave_up", "gave_up", None)),
    detail=st.sampled_from(("no answer", "refused")),
)
farms = st.builds(
    FarmFacts,
    boxes=st.sampled_from(((), BOX_NAMES)),
    chores=st.just((ChoreFacts("wash", "1", "washed"), ChoreFacts("wire", "east"), ChoreFacts("wash", "", "washed"))),
    feeds=st.sampled_from(
        (
            (),
            (
                FeedFacts("visits", ("visits",), known_until=DAY_0 + DAY_S),
                FeedFacts("tank", ("tank",), watched_since=5),
            ),
        )
    ),
    watched_since=moments,
    whole_herd_lists=st.booleans(),
)

FRAMES = {
    "visits": visit_frames(),
    "box_log": box_logs,
    "cows": herd_lists,
    "chores": chore_frames,
    "files": file_frames,
    "deliveries": delivery_frames,
}


def tables_with(*names: str) -> st.SearchStrategy[Tables]:
    """A farm with rows in the named tables (without a name: in all) and none in the others."""
    return st.builds(Tables, farm=farms, **{name: FRAMES[name] for name in names or FRAMES if name in FRAMES})


def shuffled(frame: pd.DataFrame, seed: int) -> pd.DataFrame:
    """The same rows in another order."""
    return frame.iloc[np.random.default_rng(seed).permutation(len(frame))].reset_index(drop=True)
