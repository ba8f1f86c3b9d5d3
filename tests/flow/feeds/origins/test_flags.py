"""An outcome that an export gives as flags: their order counts, and what cannot be read is unknown."""

from __future__ import annotations

import pytest
from flow.feeds.mapped import batch_of, cells, problems_of
from hypothesis import given, settings
from hypothesis import strategies as st

FLAGS = """\
feed: visits
files: "*"
tables:
  visits:
    cow: Cow
    start: Start
    outcome: {flags: {refused: Ref, failed: [Fail, {column: Cups, words: {0: yes, 4: no}}], incomplete: Inc}}
"""
BESIDE = FLAGS.partition("outcome:")[0] + (
    "outcome: {column: Result, words: {ok: milked, away: refused}, flags: {incomplete: Inc}}\n"
)


def outcomes(feed: str, titles: str, *rows: str) -> list[object]:
    """The outcomes of some visits."""
    lines = f"Cow,Start,{titles}\n" + "".join(f"{n},2026-05-10 06:0{n},{row}\n" for n, row in enumerate(rows))
    return cells(batch_of(feed, lines), "outcome")


@pytest.mark.parametrize(
    ("flags", "outcome"),
    [
        ("0,0,4,1", "incomplete"),
        ("0,0,4,0", None),
        (",,,", None),
        ("no,nein,4,ja", "incomplete"),
        (",x,4,x", "failed"),
        ("1,1,0,1", "refused"),
        ("0,0,0,0", "failed"),
        ("1,?,?,?", "refused"),
        ("?,1,4,0", "unknown"),
        ("0,?,4,1", "unknown"),
        ("0,0,4,?", "unknown"),
    ],
)
def test_the_first_flag_that_is_set_counts(flags: str, outcome: str | None) -> None:
    """One that cannot be read may have been set, so what is behind it is not taken; with none set the milk tells."""
    assert outcomes(FLAGS, "Ref,Fail,Cups,Inc", flags) == [outcome]


def test_a_map_may_say_what_it_is_where_no_flag_is_set() -> None:
    """Only a map that names all the ways in which a milking is not whole should."""
    feed = FLAGS.replace("Inc}}", "Inc}, otherwise: milked}")

    assert outcomes(feed, "Ref,Fail,Cups,Inc", "0,0,4,0", "0,0,4,1", "0,0,?,0") == ["milked", "incomplete", "unknown"]


def test_flags_go_before_the_column_beside_them() -> None:
    """The column's word counts where none is set; a word that is not known is unknown, unless a flag is set."""
    assert outcomes(BESIDE, "Result,Inc", "ok,", "ok,1", "away,0", "odd,0", "odd,1", ",") == [
        "milked",
        "incomplete",
        "refused",
        "unknown",
        "incomplete",
        None,
    ]


def test_a_flag_that_cannot_be_read_is_told_by_its_own_title() -> None:
    """With what would be known."""
    batch = batch_of(FLAGS, "Cow,Start,Ref,Fail,Cups,Inc\n1,2026-05-10 06:00,0,0,3,0\n")

    assert [str(one.reason) for one in batch.set_aside] == [
        '"Cups": "3" is not in the map\'s word table (known here: 1, true, yes, y, x, ja, j, oui, vrai, wahr, 0, '
        "false, no, n, nein, nee, nej, non, faux, falsch)"
    ]
    assert [one.kept for one in batch.set_aside] == [True]


@settings(deadline=None)
@given(st.lists(st.tuples(*[st.sampled_from(["0", "1", "", "?"])] * 3), min_size=1, max_size=8))
def test_no_order_of_rows_changes_what_a_row_says(rows: list[tuple[str, str, str]]) -> None:
    """Each row by itself gives what it gives among others, and only a row that could be read has a word of ours."""
    feed = FLAGS.replace(", {column: Cups, words: {0: yes, 4: no}}", "")
    lines = [",".join(row) for row in rows]
    together = outcomes(feed, "Ref,Fail,Inc", *lines)

    assert together == [outcomes(feed, "Ref,Fail,Inc", line)[0] for line in lines]
    for row, outcome in zip(rows, together, strict=True):
        read = row[: row.index("?")] if "?" in row else row
        expected = next(
            (w for cell, w in zip(read, ("refused", "failed", "incomplete"), strict=False) if cell == "1"), None
        )
        assert outcome == (expected if expected or "?" not in row else "unknown")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("refused: Ref", "refusd: Ref", 'refusd is not a word of outcome (did you mean "refused"?)'),
        ("0: yes", "0: maybe", '"0": maybe is neither yes nor no'),
        ("outcome: {flags", "milk_kg: {flags", "milk_kg is no word; flags mean nothing here"),
        ("refused: Ref", "refused: []", "at least 1 item"),
    ],
)
def test_a_map_that_means_no_flags_is_told(old: str, new: str, said: str) -> None:
    """With its place."""
    assert any(said in one for one in problems_of(FLAGS.replace(old, new))), problems_of(FLAGS.replace(old, new))
