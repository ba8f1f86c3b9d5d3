"""What every measure promises, whatever it measures."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import moments, months_of_a_herd, shuffled, tables_with

from sentinel.flow.measures import MEASURES, measure_named
from sentinel.flow.measures.base.shape import Measure, Readings, Resets
from sentinel.flow.model import kind_of
from sentinel.flow.rules.quantities import UNITS
from sentinel.flow.tables import EXPORTED, OWN, Tables, table_named

EVERY = [pytest.param(m, per, id=f"{m.name}-{per}") for m in MEASURES for per in m.per]
FROM_ROWS = [p for p in EVERY if p.values[0].needs or p.values[0].uses]
FRAMES = [f.name for f in fields(Tables) if f.name not in ("farm", "derived")]
UNIT_WORDS = {"h": " h", "min": " min", "%": "%", "ratio": "ratio"}
few = settings(max_examples=20, deadline=None)


def read_by(measure: Measure) -> st.SearchStrategy[Tables]:
    """Tables with rows where the measure says that it looks."""
    return tables_with(*(measure.needs + measure.uses or ("tank",)))


def computed(measure: Measure, per: str, rows: Tables) -> Readings | Resets:
    """The measure with its default options."""
    return measure.compute(rows, per, measure.settings({}))


def with_rows(rows: Tables, change: Any) -> Tables:
    """The tables with each frame changed by `change(name, frame)`."""
    return replace(rows, **{name: change(name, getattr(rows, name)) for name in FRAMES})


def happened(name: str, frame: pd.DataFrame) -> pd.Series:
    """When each row happened."""
    return frame[table_named(name).happened]


def up_to(rows: Tables, at: int) -> Tables:
    """Only the rows that happened until `at`."""
    return with_rows(rows, lambda name, frame: frame[happened(name, frame) <= at].reset_index(drop=True))


def recent(rows: Tables, at: int, lookback_s: int) -> Tables:
    """Only the rows in (at - lookback_s, at]; the herd list whole until `at`."""

    def cut(name: str, frame: pd.DataFrame) -> pd.DataFrame:
        moment = happened(name, frame)
        keep = (moment <= at) & ((moment > at - lookback_s) | (name == "cows"))
        return frame[keep].reset_index(drop=True)

    return with_rows(rows, cut)


def assert_same(one: pd.DataFrame, other: pd.DataFrame) -> None:
    """Equal to the last bit, values and types."""
    pd.testing.assert_frame_equal(one.reset_index(drop=True), other.reset_index(drop=True), check_exact=True)


def assert_same_result(one: Readings | Resets, other: Readings | Resets) -> None:
    """Equal to the last bit, with the counted events if there are any."""
    assert_same(one.frame, other.frame)
    if isinstance(one, Resets) and one.events is not None:
        assert isinstance(other, Resets) and other.events is not None
        assert_same(one.events, other.events)


@pytest.mark.parametrize(("measure", "per"), EVERY)
@few
@given(data=st.data(), seed=st.integers(0, 99))
def test_row_order(measure: Measure, per: str, data: st.DataObject, seed: int) -> None:
    """The order of the rows changes nothing."""
    rows = data.draw(read_by(measure))
    mixed = with_rows(rows, lambda name, frame: shuffled(frame, seed))

    assert_same_result(computed(measure, per, rows), computed(measure, per, mixed))


@pytest.mark.parametrize(("measure", "per"), EVERY)
@few
@given(data=st.data())
def test_input_unchanged(measure: Measure, per: str, data: st.DataObject) -> None:
    """The frames that go in are the same afterwards."""
    rows = data.draw(read_by(measure))
    before = with_rows(rows, lambda name, frame: frame.copy(deep=True))
    computed(measure, per, rows)

    for name in FRAMES:
        assert_same(getattr(before, name), getattr(rows, name))


@pytest.mark.parametrize(("measure", "per"), EVERY)
def test_empty_in_empty_out(measure: Measure, per: str) -> None:
    """Without a row and without a farm there is no reading and no reset, in columns of the right types."""
    found = computed(measure, per, Tables())

    assert len(found.frame) == 0
    assert found.frame["subject"].dtype == "str"
    assert found.frame["at"].dtype == "int64"


@pytest.mark.parametrize(("measure", "per"), EVERY)
@few
@given(data=st.data(), at=moments)
def test_later_rows(measure: Measure, per: str, data: st.DataObject, at: int) -> None:
    """Rows later than a moment change no reading and no reset at or before it."""
    rows = data.draw(read_by(measure))
    whole, early = computed(measure, per, rows).frame, computed(measure, per, up_to(rows, at)).frame

    assert_same(whole[whole["at"] <= at], early[early["at"] <= at])


@pytest.mark.parametrize(("measure", "per"), EVERY)
@few
@given(data=st.data())
def test_frame_as_promised(measure: Measure, per: str, data: st.DataObject) -> None:
    """Frames are sorted by subject and time, each moment once, typed; a missing value says why."""
    rows = data.draw(read_by(measure))
    found = computed(measure, per, rows)
    frame = found.frame
    assert not frame.duplicated(["subject", "at"]).any()
    assert_same(frame, frame.sort_values(["subject", "at"], kind="stable"))
    assert frame["at"].dtype == "int64" and frame["subject"].dtype == "str"
    assert {kind_of(subject) for subject in frame["subject"]} <= {per}
    own = {name for name in frame.columns if name.startswith("_")}
    assert own <= {"_bound_least"} or measure.as_usual_was is not None
    assert set(measure.fact_names) == set(frame.columns) - {"subject", "at", "value", "why", "sure"} - own
    if isinstance(found, Readings):
        assert frame["value"].dtype == "float64"
        assert list(frame["value"].isna()) == list(frame["why"] != "")
        assert np.isfinite(frame["value"].dropna()).all()
    elif found.events is not None:
        assert_same(found.events, found.events.sort_values(["subject", "at"], kind="stable"))


@pytest.mark.parametrize(("measure", "per"), FROM_ROWS)
@few
@given(data=st.data())
def test_bulk_is_incremental(measure: Measure, per: str, data: st.DataObject) -> None:
    """What is read at a moment is the same to the last bit from all rows and from those within the lookback."""
    rows = data.draw(read_by(measure))
    whole = computed(measure, per, rows)
    found_at = sorted(set(whole.frame["at"]))
    some = data.draw(st.lists(st.sampled_from(found_at) if found_at else moments, min_size=1, max_size=3))
    assert_incremental(measure, per, rows, whole, {*some, *found_at[-2:]})


@pytest.mark.parametrize(("measure", "per"), FROM_ROWS)
def test_bulk_is_incremental_over_months(measure: Measure, per: str) -> None:
    """The same over three months of a herd, where a sum carried along would have lost its last bits."""
    rows = months_of_a_herd(seed=11)
    whole = computed(measure, per, rows)
    found_at = sorted(set(whole.frame["at"]))

    assert len(found_at) >= 9
    assert_incremental(measure, per, rows, whole, {*found_at[:: max(1, len(found_at) // 15)], *found_at[-15:]})


def assert_incremental(measure: Measure, per: str, rows: Tables, whole: Readings | Resets, asked: set[int]) -> None:
    """At each asked moment, the result from the rows within the lookback is that from all rows."""
    for at in asked:
        part = computed(measure, per, recent(rows, at, measure.lookback_s))
        if isinstance(whole, Readings):
            assert_same(whole.frame[whole.frame["at"] == at], part.frame[part.frame["at"] == at])
        else:
            assert_same_elapsed(whole, part, at, at - measure.reset_for_s, rows.farm.watched_since)


def assert_same_elapsed(whole: Resets, part: Readings | Resets, at: int, too_old: int, watched_since: int) -> None:
    """The same last reset and count for each subject; one that was too old is too old still, or as one never known."""
    assert isinstance(part, Resets)
    last, last_of_part = (r.frame[r.frame["at"] <= at].groupby("subject")["at"].max() for r in (whole, part))
    for subject, reset in last.items():
        if reset > too_old:
            assert last_of_part[subject] == reset
            assert counted(whole, str(subject), reset, at) == counted(part, str(subject), reset, at)
        else:
            found = last_of_part.get(subject, watched_since)
            assert found == watched_since or found <= too_old


def counted(found: Resets, subject: str, reset: int, at: int) -> int:
    """The subject's events in (reset, at]."""
    if found.events is None:
        return 0
    mine = found.events[found.events["subject"] == subject]["at"]
    return int(((mine > reset) & (mine <= at)).sum())


@pytest.mark.parametrize(("measure", "per"), EVERY)
@settings(max_examples=8, deadline=None)
@given(rows=tables_with())
def test_reads_what_it_says(measure: Measure, per: str, rows: Tables) -> None:
    """Only the tables that a measure says it needs or uses change it."""
    said = measure.needs + measure.uses
    blank = with_rows(rows, lambda name, frame: frame if name in said else frame.iloc[:0])

    assert_same_result(computed(measure, per, rows), computed(measure, per, blank))


@pytest.mark.parametrize("measure", MEASURES, ids=lambda m: m.name)
def test_declaration(measure: Measure) -> None:
    """A measure has the name of its function, known tables and units, and says its unit, doc and source in words."""
    described = measure.compute.__doc__ or ""
    known = {table.name for table in (*EXPORTED, *OWN)}
    known |= {f"{table.name}.{column.name}" for table in EXPORTED for column in table.columns}

    assert measure.compute.__name__ == measure.name
    assert measure.unit in UNITS and all(option.unit in UNITS for option in measure.options)
    assert set(measure.needs) | set(measure.uses) <= known
    first_line = described.splitlines()[0]
    assert UNIT_WORDS.get(measure.unit, measure.unit) in first_line and ", per " in first_line.replace(
        "at each", ", per"
    )
    assert measure.doc and measure.source and measure.lookback_s > 0
    named = re.findall(r"\btest_\w+", measure.check)
    assert named and all(list(Path(__file__).parent.rglob(f"{name}.py")) for name in named)


def test_names_are_unique() -> None:
    """Each measure is found by its own name."""
    assert [measure_named(m.name) for m in MEASURES] == list(MEASURES)
