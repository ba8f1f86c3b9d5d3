"""Four columns that differ by one word are the four quarters."""

from __future__ import annotations

from sentinel.flow.feeds.drafting.guessing.quarters import sources
from sentinel.flow.feeds.drafting.sample.sniff import Sample


def sample(**columns: list[str]) -> Sample:
    """A sample with these columns; `_` in a title stands for a space."""
    titles = tuple(title.replace("_", " ") for title in columns)
    return Sample("delimited", titles, tuple(tuple(cells) for cells in columns.values()))


def test_titles_of_four_quarters_are_one_source() -> None:
    """Wherever the quarter's name stands in them; three of four are single columns."""
    four = sources(sample(Cow=["7"], LF_kg=["1"], RF_kg=["2"], LR_kg=["3"], RR_kg=["4"]))
    three = sources(sample(LF_kg=["1"], RF_kg=["2"], LR_kg=["3"]))
    inside = sources(sample(condVL=["1"], condVR=["2"], condHL=["3"], condHR=["4"]))
    joined = sources(sample(lfmilk=["1"], rfmilk=["2"], lrmilk=["3"], rrmilk=["4"]))

    assert [(one.title, one.cells) for one in four] == [("Cow", ("7",)), ("{quarter} kg", ("1", "2", "3", "4"))]
    assert [one.title for one in three] == ["LF kg", "RF kg", "LR kg"]
    assert [(one.title, one.family) for one in inside] == [("cond{quarter}", ("VL", "VR", "HL", "HR"))]
    assert [one.title for one in joined] == ["{quarter}milk"]


def test_a_column_that_differs_by_a_word_too_is_none_of_them() -> None:
    """`Yield kg` beside `LF kg`."""
    found = sources(sample(Yield_kg=["9"], LF_kg=["1"], RF_kg=["2"], LR_kg=["3"], RR_kg=["4"]))

    assert [one.title for one in found] == ["Yield kg", "{quarter} kg"]


def test_words_that_nobody_knows_are_quarters_where_the_columns_are_alike() -> None:
    """In the order of the file, and not sure; figures of another size, or titles that mean something, are not."""
    alike = [["2.1", "2.4", "", "1.9"]] * 4
    four = dict(zip(("m_ka", "m_ku", "m_pa", "m_pu"), alike, strict=True))
    found = sources(sample(**four))
    other = sources(sample(**{**four, "m_pu": ["210", "240", "", "190"]}))
    meaning = sources(sample(m_fat=alike[0], m_protein=alike[0], m_weight=alike[0], m_cells=alike[0]))

    assert [(one.title, one.family, one.sure) for one in found] == [("m {quarter}", ("ka", "ku", "pa", "pu"), False)]
    assert len(other) == len(meaning) == 4


def test_words_that_are_short_for_places_are_read_and_asked_as_a_whole() -> None:
    """FrL is front left and BkR back right; the same unknown words are one family in whatever order they stand."""
    columns = {f"{place}_{what}": ["2.1", "2.4"] for what in ("Lb", "Cd") for place in ("BkR", "FrL", "BkL", "FrR")}
    found = sources(sample(**columns))
    strange = sources(sample(**{f"{w}_{q}": ["2.1"] for w, order in (("m", "abcd"), ("c", "dcba")) for q in order}))

    assert [(one.title, one.family, one.read, one.sure) for one in found] == [
        (f"{{quarter}} {what}", ("FrL", "FrR", "BkL", "BkR"), True, False) for what in ("Lb", "Cd")
    ]
    assert len({one.family for one in strange}) == 1
