"""Hypothesis strategies for invented herds: small tables with ties, gaps, missing values and awkward moments."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pandas as pd
from hypothesis import strategies as st

from sentinel.flow.model import DAY_S, HOUR_S, QUARTERS
from sentinel.flow.reasons import as_said
from sentinel.flow.tables import (
    BOX_LOG,
    CHORES,
    COW_TESTS,
    COWS,
    DELIVERIES,
    FILES,
    NOT_WHOLE,
    TANK,
    UNKNOWN,
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
MILK = (11.3, 12.0, 3.7, 0.4, 0.0, NAN)
"""Milk of a visit in kg: ordinary twice, a little, a drop, nothing, not weighed."""
PARTS = (0.2, 0.25, 0.3, 0.25)
"""What each quarter gives of it."""
OUTCOMES = ("milked", "milked", "milked", "incomplete", "failed", "refused", NOT_WHOLE, UNKNOWN, None)

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


long_moments = st.sampled_from(
    [DAY_0 + step * DAY_S + second for step in range(-150, 150) for second in (0, 0, 30_000, 79_200)]
)
"""Moments over ten months, for what is tested by the month; the last is midnight in a zone two hours ahead."""


@st.composite
def visit_frames(draw: st.DrawFn, most: int = 40) -> pd.DataFrame:
    """Visits of a few cows, spread over 40 days or crowded into three."""
    when = draw(st.sampled_from((moments, close_moments)))
    cows = draw(st.sampled_from((COW_NAMES, COW_NAMES[:1])))
    row = st.tuples(st.sampled_from(cows), when, st.sampled_from(HOW_IT_WENT), st.sampled_from(MILK))
    rows = []
    for cow, start, (box, outcome, readings, kicked), milk in draw(st.lists(row, max_size=most)):
        quarters = {f"{q.lower()}_conductivity_mS_cm": c for q, c in zip(QUARTERS, readings, strict=True)}
        quarters |= {f"{q.lower()}_kicked_off": k for q, k in zip(QUARTERS, kicked, strict=True)}
        quarters |= {f"{q.lower()}_milk_kg": milk * part for q, part in zip(QUARTERS, PARTS, strict=True)}
        rows.append({"cow": cow, "start": start, "box": box, "outcome": outcome, "milk_kg": milk, **quarters})
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
    reason=st.sampled_from((as_said("a number is not one"), None)),
)
delivery_frames = _frames(
    DELIVERIES,
    most=14,
    notice=st.integers(1, 30).map(str),
    channel=st.sampled_from(("phone", "post")),
    at=moments,
    outcome=st.sampled_from(("delivered", "gave_up", "gave_up", None)),
    detail=st.sampled_from((as_said("no answer"), as_said("refused"))),
)
COUNTS = (NAN, 83.0, 197.3, 200.0, 400.0, 1630.7, 0.0)
tank_frames = _frames(
    TANK,
    most=24,
    tank=st.sampled_from(("1", "1", "2", None)),
    at=st.one_of(long_moments, close_moments),
    temperature_C=st.sampled_from((NAN, 3.9, 6.0, 17.3, 250.0)),
    litres=st.sampled_from((NAN, 0.0, 60.0, 480.0, 2600.0, 9100.0)),
    cells_k_ml=st.sampled_from(COUNTS),
    bacteria_k_ml=st.sampled_from(COUNTS),
)
cow_test_frames = _frames(
    COW_TESTS,
    most=24,
    cow=st.sampled_from((*COW_NAMES, None)),
    at=st.one_of(long_moments, close_moments),
    cells_k_ml=st.sampled_from(COUNTS),
    milk_kg=st.sampled_from((NAN, 0.0, 21.7, 38.2)),
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
    zone=st.sampled_from(("UTC", "Europe/Berlin")),
)

FRAMES = {
    "visits": visit_frames(),
    "box_log": box_logs,
    "cows": herd_lists,
    "tank": tank_frames,
    "cow_tests": cow_test_frames,
    "chores": chore_frames,
    "files": file_frames,
    "deliveries": delivery_frames,
}


def tables_with(*names: str) -> st.SearchStrategy[Tables]:
    """A farm with rows in the named tables (without a name: in all) and none in the others."""
    return st.builds(Tables, farm=farms, **{name: FRAMES[name] for name in names or FRAMES if name in FRAMES})


def months_of_a_herd(seed: int, days: int = 90, cows: int = 4) -> Tables:
    """A long plain record from a seed: about three visits a cow and day, and everything else that measures look at."""
    chance = np.random.default_rng(seed)
    n = 3 * days * cows

    def any_time(count: int) -> list[int]:
        return [int(at) for at in DAY_0 + chance.integers(0, days * DAY_S, count)]

    def any_of(words: tuple[Any, ...], count: int) -> list[Any]:
        return [words[i] for i in chance.integers(0, len(words), count)]

    names = tuple(str(number) for number in range(7, 7 + cows))
    outcomes = ("milked",) * 12 + OUTCOMES
    milk = np.random.default_rng([seed, 1]).lognormal(1, 0.2, (n, 4)).round(2)
    visits = [
        {"cow": cow, "start": at, "box": box, "outcome": outcome}
        | {f"{q.lower()}_conductivity_mS_cm": float(round(5 + 0.4 * chance.normal(), 2)) for q in QUARTERS}
        | {f"{q.lower()}_milk_kg": kg for q, kg in zip(QUARTERS, parts, strict=True)}
        | {"milk_kg": sum(parts)}
        for cow, at, box, outcome, parts in zip(
            any_of(names, n), any_time(n), any_of(BOX_NAMES, n), any_of(outcomes, n), milk.tolist(), strict=True
        )
    ]
    events = zip(any_of(BOX_NAMES, days), any_time(days), any_of(("filter_changed", "washed"), days), strict=True)
    chores = zip(any_of(("filter", "wash"), days // 9), any_time(days // 9), strict=True)
    notices = zip(any_time(days), any_of(("delivered", "gave_up", "gave_up", "gave_up"), days), strict=True)
    tests = zip(any_of(names, 9 * cows), any_time(9 * cows), chance.lognormal(5, 1, 9 * cows), strict=True)
    tank = zip(any_time(days), chance.normal(4, 2, days), chance.lognormal(5, 0.5, days), strict=True)
    return Tables(
        visits=frame_of(VISITS, visits),
        box_log=frame_of(BOX_LOG, [{"box": box, "at": at, "event": event} for box, at, event in events]),
        cows=frame_of(COWS, [{"cow": name, "from": DAY_0, "status": "milking"} for name in names[1:]]),
        tank=frame_of(
            TANK,
            [
                {
                    "tank": "1",
                    "at": at,
                    "temperature_C": warm,
                    "litres": 40 * n,
                    "cells_k_ml": n,
                    "bacteria_k_ml": n / 9,
                }
                for at, warm, n in tank
            ],
        ),
        cow_tests=frame_of(
            COW_TESTS, [{"cow": cow, "at": at, "cells_k_ml": n, "milk_kg": 20 + n / 99} for cow, at, n in tests]
        ),
        chores=frame_of(CHORES, [{"chore": chore, "place": "1", "at": at} for chore, at in chores]),
        files=frame_of(
            FILES, [{"feed": "visits", "file": "a.csv", "at": at, "rows_set_aside": 1.0} for at in any_time(9)]
        ),
        deliveries=frame_of(
            DELIVERIES,
            [{"notice": str(i), "channel": "phone", "at": at, "outcome": how} for i, (at, how) in enumerate(notices)],
        ),
        farm=FarmFacts(boxes=BOX_NAMES, chores=(ChoreFacts("wash", "1", "washed"),), watched_since=DAY_0),
    )


def shuffled(frame: pd.DataFrame, seed: int) -> pd.DataFrame:
    """The same rows in another order."""
    return frame.iloc[np.random.default_rng(seed).permutation(len(frame))].reset_index(drop=True)
