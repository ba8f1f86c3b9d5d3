"""What a map gives of a few files: rows, what is set aside once a reason, and the figures of each field."""

from __future__ import annotations

from flow.feeds.trial.tried_maps import export, line, map_text, tried_on, visits

from sentinel.flow.reasons import Reason


def test_rows_and_figures_are_counted_over_all_files() -> None:
    """Two files of twenty visits, one of them without milk: lowest, median and highest as they stand there."""
    of = tried_on(map_text(), export(*visits()), export(*visits(), line(20, Milk=""), name="visits_2.csv"))
    milk = next(one for one in of.fields if one.column.name == "milk_kg")

    assert [dict(file.rows) for file in of.files] == [{"visits": 20}, {"visits": 21}]
    assert (milk.rows, milk.missing, milk.lowest, milk.highest) == (41, 1, 8.0, 14.6)
    assert milk.median == 11.15
    assert next(one for one in of.fields if one.column.name == "outcome").words == {"milked": 41}


def test_a_reason_is_told_once_whatever_the_cells_say() -> None:
    """Thirty odd milk weights are one reason, with the first's line; a row cut short is another."""
    lines = [line(n, Milk=f"{n}x") for n in range(30)]
    of = tried_on(map_text(), export(*lines, "7,2026-03-28 09:00:00"))

    assert [(str(why.reason), why.number, str(why.at), why.kept) for why in of.whys] == [
        ('"Milk": "0x" is not a number', 30, "visits_1.csv:2", True),
        (
            "has 2 cells where the titles have 6: it is cut short or has a line break inside",
            1,
            "visits_1.csv:32",
            False,
        ),
    ]
    assert (of.files[0].in_part, of.files[0].aside) == (30, 1)


def test_a_file_that_is_set_aside_whole_says_why() -> None:
    """Its columns are not the map's."""
    [file] = tried_on(map_text(milk="Kilos"), export(*visits())).files

    assert isinstance(file.refused, Reason)
    assert str(file.refused) == 'its titles lack "Kilos" (known here: Cow, Start, Box, Milk, Stay, Ended)'
    assert (file.rows, file.aside) == ({}, 0)


def test_a_field_that_quarters_take_over_from_visits_stands_there() -> None:
    """The place of a quarter's cow is that of the visits' cow."""
    text = map_text() + '  quarters:\n    each: quarter\n    milk_kg: "{quarter}"\n'
    of_map = tried_on(map_text(), export(*visits())).map

    assert of_map.place(*of_map.steps("visits", "milk_kg")).line == 9
    both = tried_on(text, export(*visits())).map
    assert both.place(*both.steps("quarters", "milk_kg")).line == 14
    assert both.place(*both.steps("quarters", "cow")).line == 6


def test_figures_that_would_be_left_out_are_told_as_running_tells_them() -> None:
    """A scale that says 9999 at box 2: the rows are read in part, and the reason once, with how many and where."""
    of = tried_on(map_text(), export(*visits(lambda n: line(n, Milk="9999") if n % 2 else line(n))))

    [why] = of.whys
    assert (why.number, str(why.at)) == (10, "visits_1.csv:3")
    assert str(why.reason).startswith('"Milk": 10 figures left out, all at box 2')
    assert of.files[0].in_part == 10
    assert next(one for one in of.fields if one.column.name == "milk_kg").impossible == 10
