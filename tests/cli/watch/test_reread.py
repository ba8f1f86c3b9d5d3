"""`reread`: files and feeds are read again by hand, or what they gave is taken back."""

from __future__ import annotations

from pathlib import Path

from cli.typed import export, failures, sentinel

from sentinel.cli.base import open_farm
from sentinel.edges.store.rows import all_rows
from sentinel.flow.tables import VISITS
from sentinel.runtime.farm_folder import lock


def cows(farm: Path) -> list[str]:
    """The cows of all visits that count."""
    with open_farm(farm) as yard:
        return sorted(all_rows(yard.store, VISITS)["cow"])


def test_a_file_is_taken_back_left_alone_and_read_again(told: Path) -> None:
    """Its rows count no more, its alert ends with that reason; the same word without --withdraw undoes it."""
    said = sentinel("reread", "a.csv", "--withdraw", "--farm", told)
    assert said.code == 0, said.err
    assert cows(told) == []
    [alert] = sentinel("alerts", told, "--all", "--json").records
    assert alert["over_at"] is not None
    over = sentinel("history", told, "--kind", "over", "--json").records
    assert over[0]["body"]["read_again"] == "sentinel reread a.csv"
    (told / "exports" / "a.csv").touch()
    sentinel("once", told)
    assert cows(told) == []

    assert sentinel("reread", "a.csv", "--farm", told).code == 0
    assert len(cows(told)) == 7


def test_what_another_file_gives_as_well_stays(told: Path) -> None:
    """Only what that file alone gave is taken back."""
    (told / "exports" / "b.csv").write_text((told / "exports" / "a.csv").read_text())
    (told / "exports" / "c.csv").write_text(export(*failures("1", 2, 900)))
    sentinel("once", told)
    assert len(cows(told)) == 9
    sentinel("reread", "a.csv", "c.csv", "--withdraw", "--farm", told)

    assert len(cows(told)) == 7


def test_a_feed_is_read_again_or_taken_back_as_a_whole(told: Path) -> None:
    """By its name, as its map gives it; a path to a file does as well as its name."""
    (told / "exports" / "b.csv").write_text(export(*failures("1", 2, 900)))
    sentinel("once", told)
    again = sentinel("reread", "milkings", "--farm", told)
    assert "sentinel reread milkings: 2 files read again" in again.words
    assert len(cows(told)) == 9
    sentinel("reread", "milkings", "--withdraw", "--farm", told)
    assert cows(told) == []
    sentinel("reread", told / "exports" / "b.csv", "--farm", told)
    assert cows(told) == ["900", "901"]


def test_a_name_that_nothing_was_read_of_is_refused(told: Path) -> None:
    """With what would be right."""
    said = sentinel("reread", "milking", "--farm", told)

    assert said.code != 0
    assert "milking is neither a file that was read nor a feed (did you mean" in said.words
    assert "feeds: milkings" in said.words


def test_where_another_sentinel_is_at_work_it_does_it(told: Path) -> None:
    """The word is left for its next look."""
    held = lock(told)
    said = sentinel("reread", "a.csv", "--withdraw", "--farm", told)
    held.release()
    assert said.code == 0 and "does it at its next look" in said.words
    assert len(cows(told)) == 7
    sentinel("once", told)

    assert cows(told) == []
