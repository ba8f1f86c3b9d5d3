"""What columns say of each other, whatever they are called."""

from __future__ import annotations

import numpy as np

from sentinel.flow.feeds.drafting.guessing.quarters import sources
from sentinel.flow.feeds.drafting.guessing.relations import relations
from sentinel.flow.feeds.drafting.sample.profile import Source, profiled
from sentinel.flow.feeds.drafting.sample.sniff import Sample

CHANCE = np.random.default_rng(2)
ROWS = 80


def found(**columns: list[str]) -> set[tuple[str, str, str, bool]]:
    """Table, field, title and whether it speaks for it, of all that is found between columns."""
    sample = Sample("delimited", tuple(columns), tuple(tuple(cells) for cells in columns.values()))
    profiles = [profiled(one, sample) for one in sources(sample)]
    return {(one.table, one.field, one.title, one.weight > 0) for one in relations(profiles)}


def moments(seconds: np.ndarray) -> list[str]:
    """Seconds of a day as an export writes them."""
    return [
        f"2026-05-{4 + s // 86400:02d} {s // 3600 % 24:02d}:{s // 60 % 60:02d}:{s % 60:02d}" for s in seconds.tolist()
    ]


def test_four_quarters_add_up_to_the_visit() -> None:
    """So one is the milk of the quarters and the other that of the visit, in any unit."""
    four = CHANCE.uniform(1, 5, (4, ROWS)).round(2)
    columns = {f"q {name}": [str(v) for v in row] for name, row in zip("abcd", four.tolist(), strict=True)}
    together = {
        **columns,
        "sum": [f"{v:.1f}" for v in four.sum(axis=0)],
        "n": [str(v) for v in CHANCE.uniform(1, 9, ROWS)],
    }

    assert ("visits", "milk_kg", "sum", True) in found(**together)
    assert ("visits", "milk_kg", "n", True) not in found(**together)


def test_a_visit_begins_before_it_ends_and_lasts_the_time_between() -> None:
    """The later of two moments that differ by minutes is not the start; a column may say how long in minutes."""
    start = np.sort(CHANCE.integers(0, 2 * 86400, ROWS))
    stay = CHANCE.integers(60, 900, ROWS)
    seen = found(one=moments(start + stay), other=moments(start), m=[f"{s / 60:.1f}" for s in stay.tolist()])

    assert ("visits", "start", "other", True) in seen
    assert ("visits", "start", "one", False) in seen
    assert ("visits", "duration_s", "m", True) in seen


def test_a_box_takes_one_cow_at_a_time() -> None:
    """Of two columns with two names each, the box is the one within which visits never begin close together."""
    starts = np.concatenate(
        [np.cumsum(CHANCE.integers(200, 500, ROWS)), 7 + np.cumsum(CHANCE.integers(200, 500, ROWS))]
    )
    order = np.argsort(starts)
    box = np.repeat(["1", "2"], ROWS)[order].tolist()
    breed = CHANCE.choice(["3", "4"], 2 * ROWS).tolist()
    seen = found(at=moments(starts[order]), p=box, q=breed)

    assert ("visits", "box", "p", True) in seen
    assert ("visits", "box", "q", True) not in seen


def test_a_visit_four_times_with_four_words_is_a_row_for_each_quarter() -> None:
    """Whatever the words."""
    start = np.repeat(np.cumsum(CHANCE.integers(200, 500, 20)), 4)

    assert ("quarters", "quarter", "w", True) in found(t=moments(start), w=["a", "b", "c", "d"] * 20)


def test_nobody_calved_in_the_future() -> None:
    """Days after the newest moment are of what is expected."""
    seen = found(at=["2026-05-04 06:30:00"] * 9, due=["2026-09-01"] * 9, calved=["2026-03-01"] * 9)

    assert ("cows", "calved_on", "due", False) in seen
    assert ("cows", "calved_on", "calved", False) not in seen


def test_columns_of_any_length_can_be_looked_at() -> None:
    """One row, and columns with nothing in them."""
    empty = [
        profiled(Source("a", ("",)), Sample("delimited")),
        profiled(Source("b", ("2026-05-04",)), Sample("delimited")),
    ]

    assert relations(empty) == []
    assert relations([]) == []


def test_a_server_that_is_an_hour_behind_does_not_begin_a_visit() -> None:
    """The column that says how long a visit was tells which moments it lies between; the end may be a time only."""
    start = np.sort(CHANCE.integers(86400, 2 * 86400, ROWS))
    stay = CHANCE.integers(60, 900, ROWS)
    server = start + stay + CHANCE.integers(15, 170, ROWS) - 3600
    columns = {
        "srv": moments(server),
        "came": moments(start),
        "left": [moment[11:] for moment in moments(start + stay)],
        "min": [f"{s / 60:.2f}" for s in stay.tolist()],
    }
    seen = found(**columns)
    untold = found(srv=columns["srv"], came=columns["came"])

    assert {("visits", "start", "came", True), ("visits", "start", "srv", False)} <= seen
    assert ("visits", "start", "srv", True) not in untold


def test_the_stay_holds_the_other_lengths_of_time() -> None:
    """How long she was in the box is longer than how long the milk flowed, and also there where she was refused."""
    stay = CHANCE.integers(200, 900, ROWS)
    flow = [f"{s // 60:02d}:{s % 60:02d}" if n % 3 else "" for n, s in enumerate((stay - 90).tolist())]
    seen = found(occ=[f"{s // 60:02d}:{s % 60:02d}" for s in stay.tolist()], flw=flow)

    assert {("visits", "duration_s", "occ", True), ("visits", "duration_s", "flw", False)} <= seen


def test_what_stands_also_where_nothing_was_milked_was_expected() -> None:
    """Of two amounts that go together."""
    given = CHANCE.uniform(4, 16, ROWS)
    hoped = given * CHANCE.normal(1, 0.08, ROWS)
    seen = found(
        hope=[f"{v:.1f}" for v in hoped.tolist()],
        got=[f"{v:.1f}" if n % 3 else "" for n, v in enumerate(given.tolist())],
    )

    assert {("visits", "milk_kg", "hope", False), ("visits", "milk_kg", "got", True)} <= seen


def test_columns_that_tell_the_same_rows_apart_are_names_of_one_animal() -> None:
    """Her number is the short one of figures; what is the same for her and for others is none."""
    cows = [str(100 + 7 * n) for n in CHANCE.integers(0, 20, ROWS)]
    collars = [f"372000000000{cow}" for cow in cows]
    weights = [str(600 + int(cow) % 5) for cow in cows]
    seen = found(a=cows, b=collars, c=weights)

    assert {title for table, field, title, for_it in seen if (table, field, for_it) == ("visits", "cow", True)} == {"a"}
    assert ("visits", "duration_s", "a", False) in seen


def test_milk_flows_longer_the_more_there_is() -> None:
    """How long a box takes to attach does not go with it."""
    kg = CHANCE.uniform(4, 16, ROWS)
    flowing, attaching = 60 + 20 * kg + CHANCE.normal(0, 15, ROWS), CHANCE.uniform(40, 120, ROWS)
    seen = found(kg=[f"{v:.1f}" for v in kg], f=[f"{v:.0f}" for v in flowing], a=[f"{v:.0f}" for v in attaching])

    assert ("visits", "attach_s", "f", False) in seen
    assert ("visits", "attach_s", "a", False) not in seen
