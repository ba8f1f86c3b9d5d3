"""The head of a drafted map."""

from __future__ import annotations

from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.model import Export


def lines(text: str) -> list[str]:
    """The head of a draft."""
    return (
        drafted([Export("v_20260504.csv", text.encode(), 0)], "Europe/Dublin").text.partition("tables:")[0].splitlines()
    )


def test_marks_for_missing_are_drafted() -> None:
    """A dash where figures are; a dash among words is a word."""
    head = lines("Cow;Start;Milk;Note\n7;04.05.2026 06:30;-;-\n8;04.05.2026 06:41;9,5;tail\n")

    assert 'missing: ["-"]   # stand where nothing is known' in head
    assert 'decimal: ","' in head


def test_epochs_need_no_zone() -> None:
    """Seconds since 1970 say it themselves."""
    head = lines("Cow;Start;Milk\n7;1777000000;12.4\n8;1777000900;9.5\n")

    assert 'times: "epoch_s"' in head
    assert not [line for line in head if line.startswith("zone:")]


def test_editors_find_the_schema() -> None:
    """By the first line."""
    assert lines("Cow;Start\n7;1777000000\n")[0] == "# yaml-language-server: $schema=./feeds.schema.json"
