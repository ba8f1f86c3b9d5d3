"""The small tables in a rule's examples."""

import pytest

from sentinel.flow.rules.example_rows import TABLES, example_faults, read_small_table

H = 3600


def test_a_small_table_is_read_into_rows() -> None:
    """Names stay text, times are seconds ago, a dash is missing, a repeated time is several rows."""
    table, faults = read_small_table(
        TABLES["visits"],
        "cow   start                              box  outcome  milk_kg\n"
        "0042  3 times every 9 h, last 90 min ago  1    milked   -\n"
        "101   now                                2    failed   2.5\n",
    )

    assert faults == []
    assert [tuple(row.values()) for row in table.rows] == [
        ("0042", 19.5 * H, "1", "milked", None),
        ("0042", 10.5 * H, "1", "milked", None),
        ("0042", 1.5 * H, "1", "milked", None),
        ("101", 0, "2", "failed", 2.5),
    ]


@pytest.mark.parametrize(
    ("example", "said"),
    [
        ({"raises": "cow:217"}, "0: raises: cow:217 stands in none of the example's rows"),
        ({"raises": "box:2", "boxes": [2]}, "0: raises: box:2 is a box, but the rule is per cow"),
        ({"raises": 217}, '0: raises: "217" should be a subject such as cow:2'),
        ({"visits": "cow  start\n1  now"}, "0: : an example has exactly one of raises, quiet and unknown"),
        ({"quiet": "cow:1", "visit": "cow  start\n1  now"}, '0: visit: unknown key (did you mean "visits"?)'),
        ({"quiet": "cow:1", "visits": ["cow"]}, '0: visits: this should be a small table; begin it with "|"'),
        ({"quiet": "cow:1", "visits": ""}, "0: visits: needs a first line that names its columns"),
        ({"quiet": "cow:1", "visits": "cow  strat\n1  now"}, '1: visits: "strat" is not a column of visits '
         '(did you mean "start"?)'),
        ({"quiet": "cow:1", "visits": "cow  box\n1  2"}, "1: visits: the column start is missing"),
        ({"quiet": "cow:1", "visits": "cow  start\n\n1 now"}, "3: visits: 1 values for 2 columns; put two spaces "
         "between values, - for none"),
        ({"quiet": "cow:1", "visits": "cow  start\n1  3 h"}, '2: visits: 3 h: a time is written like "3 h ago" or '
         '"now"'),
        ({"quiet": "cow:1", "visits": "cow  start  milk_kg\n1  now  much"}, '2: visits: milk_kg: "much" should be a '
         "number"),
        ({"quiet": "cow:1", "urgency": "now", "visits": "cow  start\n1  now"}, "0: urgency: belongs to an example "
         "that raises, and is now, round or log"),
        ({"quiet": "cow:1", "watched_since": "3 h", "visits": "cow  start\n1  now"},
         '0: watched_since: 3 h: a time is written like "3 h ago" or "now"'),
        ("raises", '0: : an example says "raises:", "quiet:" or "unknown:" and gives small tables'),
    ],
)  # fmt: skip
def test_what_is_wrong_with_an_example_is_told_with_its_line(example: object, said: str) -> None:
    """A misspelt table or column, a row that does not fit and a subject that is not there are each told."""
    faults = example_faults(example, "cow")

    assert f"{faults[0].lines}: {'.'.join(str(s) for s in faults[0].path)}: {faults[0].message}" == said


@pytest.mark.parametrize(
    ("subject", "said"),
    [
        ("recording:3 d ago", ""),
        ("recording:4 d ago", "recording:4 d ago stands in none of the example's rows"),
        ("recording:2024-06-03", '2024-06-03: a time is written like "3 h ago" or "now"'),
    ],
)
def test_a_subject_that_is_named_by_its_day_is_written_as_a_time(subject: str, said: str) -> None:
    """An example has no date: its recordings are so long ago, as its rows are."""
    example = {"raises": subject, "cow_tests": "cow  at  cells_k_ml\n217  3 d ago  400"}

    assert [fault.message for fault in example_faults(example, "recording")] == [said] * bool(said)
