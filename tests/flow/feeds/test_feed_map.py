"""What a feed map says: its tables, the files it is for, and the schema that editors use."""

import pytest
from flow.feeds.good_map import GOOD

from sentinel.flow.feeds import feed_map_schema, load_feed_map, matches


def test_a_good_map_loads_and_names_its_tables() -> None:
    """What it is called, how often it comes, and what it fills can be asked."""
    feed, found = load_feed_map(GOOD, "feeds/m.yaml")

    assert found == []
    assert feed is not None
    assert (feed.feed, feed.pace, feed.table_names) == ("milkings", "hourly", ("visits", "quarters"))
    assert feed.delimiter == "\t"


@pytest.mark.parametrize(
    ("name", "fits"),
    [
        ("milkings_0328.csv", True),
        ("sub/Milkings_0328.CSV", True),
        ("old/x.txt", True),
        ("x.txt", False),
        ("milkings_0328.csv.part", False),
    ],
)
def test_files_are_matched_by_name(name: str, fits: bool) -> None:
    """A pattern without a slash looks at the last part of the path; capitals do not matter."""
    feed, _ = load_feed_map(GOOD, "m.yaml")

    assert feed is not None
    assert matches(feed, name) is fits


def test_the_schema_knows_every_key_and_the_short_form() -> None:
    """Editors complete from it: unknown keys are refused, a field may be a title or an object."""
    schema = feed_map_schema()
    visits = schema["$defs"]["Map_visits"]

    assert {"feed", "files", "tables", "clock_change"} <= set(schema["properties"])
    assert schema["additionalProperties"] is False
    assert {"cow", "start", "milk_kg", "only", "modified"} <= set(visits["properties"])
    assert {"type": "string"} in visits["properties"]["cow"]["anyOf"]
    assert "is" in schema["$defs"]["Only"]["properties"]
