"""`herd`: how the herd is doing, to people and to programs."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel


def test_the_herd_is_shown_with_what_is_usual_and_each_box(told: Path) -> None:
    """A farm of a day: nothing to compare with, and a box at which six of six failed."""
    said = sentinel("herd", told)

    assert said.code == 0
    assert "The last 24 h are not known in full yet." in said.words
    assert "2 24 h 6" in said.words
    assert "100.0" in said.words
    assert "Open alerts: 1 (0 getting worse, 0 easing; `sentinel alerts` lists them)." in said.words


def test_a_program_reads_one_object(told: Path) -> None:
    """What is not known is null."""
    [record] = sentinel("herd", told, "--json").records

    assert (record["days_compared"], record["figures"]["milkings_per_cow_day"]["last_24h"]) == (0, None)
    assert [(box["box"], box["last_24h"]["failed_pct"]) for box in record["boxes"] if box["last_24h"]["visits"]] == [
        ("1", 0.0), ("2", 100.0),
    ]  # fmt: skip
    assert record["standing"][0]["rule"] == "box-failures"


def test_a_farm_of_which_nothing_was_read_says_so(farm: Path) -> None:
    """And its command ends well."""
    said = sentinel("herd", farm)

    assert (said.code, said.out.splitlines()[0]) == (0, "No milkings are known yet.")
    assert "Open alerts: 0." in said.words
