"""JSON lines: one object a line, nested values by their path, bad lines set aside."""

import json
from typing import Any

from sentinel.flow.feeds import load_feed_map, read_export
from sentinel.flow.model import Batch, Export

MAP = """\
feed: tank
files: "*.jsonl"
form: json_lines
times: epoch_s
tables:
  tank: {tank: {value: "1"}, at: at, temperature_C: {column: milk.temp, unit: degF}, litres: l}
"""


def read(*lines: Any, **more: Any) -> Batch:
    """The batch of some lines: text as it is, objects as JSON."""
    feed, problems = load_feed_map(MAP, "m.yaml")
    assert problems == []
    assert feed is not None
    text = "".join((line if isinstance(line, str) else json.dumps(line)) + "\n" for line in lines)
    return read_export(feed, Export("t.jsonl", text.encode("utf-8", "surrogatepass"), 0, **more), "UTC")


def test_values_are_found_by_name_or_path() -> None:
    """A key that is absent is missing, not wrong."""
    batch = read(
        {"at": 1774679400, "milk": {"temp": 39.2}, "l": 4200}, {"at": 1774679460, "l": "4,201"}, {"at": 1774679520}
    )

    assert batch.rows[1].values == (("1", 1774679460, None),)
    assert batch.rows[1].columns == ("tank", "at", "temperature_C")
    assert batch.rows[2].values == (("1", 1774679520, None, None),)
    assert batch.rows[0].values[0][0::3] == ("1", 4200.0)
    assert abs(batch.rows[0].values[0][2] - 4.0) < 1e-9
    assert [(one.line, str(one.reason)) for one in batch.set_aside] == [
        (2, '"l": "4,201" is not a number with the decimal mark "."')
    ]


def test_bad_lines_are_set_aside_one_by_one() -> None:
    """Broken JSON, lists, infinities, numbers too large, half characters and nesting without end."""
    batch = read(
        '{"at": 1774679400',
        [1],
        '{"at": 1774679400, "l": Infinity}',
        {"at": 1774679400, "l": 10**400},
        {"at": 1774679400, "l": True},
        {"at": 1774679400, "l": {"a": 1}},
        '{"at": 1774679400, "l": "\\ud800"}',
        "[" * 100_000,
        {"l": 3},
        {"at": 1774679400, "l": 3},
    )

    assert [(one.line, one.kept) for one in batch.set_aside] == [(n, n in (3, 4, 5, 6)) for n in range(1, 10)]
    assert batch.rows[0].values == (("1", 1774679400, None),) * 4
    assert batch.rows[1].values == (("1", 1774679400, None, 3.0),)
    for one in batch.set_aside:
        assert one.reason
        assert len(one.row.encode()) <= 2000


def test_appended_lines_are_read_from_where_they_were_left() -> None:
    """Line numbers count from the file's start."""
    first = {"at": 1774679400, "l": 1}
    batch = read(first, {"at": 1774679460, "l": 2}, read_from=len(json.dumps(first)) + 1)

    assert [v[1] for v in batch.rows[0].values] == [1774679460]
    assert batch.rows[0].lines == (2,)
