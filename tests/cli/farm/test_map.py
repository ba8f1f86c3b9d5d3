"""`map`: the draft of a feed map."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.typed import sentinel

DEMO = Path(__file__).parents[3] / "demo_feeds"


@pytest.mark.parametrize(
    "name", ["milkings_20260504_0100.csv", "boxlog_2026-05-04_0100.xlsx", "tank_*.jsonl", "herd_2026-05-04_0000.xlsx"]
)
def test_a_drafted_map_is_accepted_or_explained_by_check(farm: Path, name: str) -> None:
    """The draft of each of the demo's exports, saved under feeds/: check takes it, or names places in it."""
    sample = sorted((DEMO / "exports").glob(name))[0]
    drafted = sentinel("map", sample, "--farm", farm)
    (farm / "feeds" / "milkings.yaml").write_text(drafted.out)
    checked = sentinel("check", farm)

    assert drafted.code == 0
    assert drafted.out.count("#") > 3  # commented
    explained = all(line.startswith("feeds/milkings.yaml:") for line in checked.err.splitlines())
    assert checked.code == 0 or (checked.err and explained), checked.err


def test_a_draft_is_asked_of_a_file(farm: Path) -> None:
    """A name that is no file is refused in one sentence."""
    said = sentinel("map", farm / "nothing.csv", "--farm", farm)

    assert (said.code, said.err.strip()) == (2, f"{farm / 'nothing.csv'} is not a file")


def test_several_samples_tell_more_than_one(farm: Path, tmp_path: Path) -> None:
    """One day's times can be read two ways; a second file decides."""
    one, other = tmp_path / "v_1.csv", tmp_path / "v_2.csv"
    one.write_text("Cow,Start,Box\n" + "".join(f"{n},03/04/2026 06:{n:02d},2\n" for n in range(10, 20)))
    other.write_text("Cow,Start,Box\n" + "".join(f"{n},14/04/2026 06:{n:02d},2\n" for n in range(10, 20)))

    assert "%m/%d/%Y %H:%M would fit too" in sentinel("map", one, "--farm", farm).out
    assert 'times: "%d/%m/%Y %H:%M"\n' in sentinel("map", one, other, "--farm", farm).out


def test_a_map_is_written_where_it_is_told_and_checked(farm: Path, tmp_path: Path) -> None:
    """With the schema for editors beside it; what is there already is never overwritten."""
    sample = tmp_path / "visits_1.csv"
    sample.write_text(
        "Cow;Start;Box;Milk kg\n" + "".join(f"{n};2026-05-04 06:{n};2;9.{n % 9}\n" for n in range(10, 30))
    )
    target = farm / "feeds" / "visits.yaml"
    first = sentinel("map", sample, "--farm", farm, "--to", target)
    again = sentinel("map", sample, "--farm", farm, "--to", target)

    assert (first.code, "The settings can be used (2 feed maps" in first.words) == (0, True), first.words
    assert "feeds.schema.json" in target.read_text()
    assert (farm / "feeds" / "feeds.schema.json").is_file()
    assert (again.code, "is there already, and is not overwritten" in again.err) == (2, True)


def test_what_is_to_be_filled_in_is_named_when_the_map_is_written(farm: Path, tmp_path: Path) -> None:
    """And the command ends with 1, as `check` does."""
    sample = tmp_path / "visits.csv"
    sample.write_text("Cow;Box;Milk kg\n7;2;9.5\n9;1;8.1\n")
    said = sentinel("map", sample, "--farm", farm, "--to", tmp_path / "v.yaml")

    assert said.code == 1
    assert "start: is missing and must be given" in said.err


def test_from_nothing_that_is_a_sample_no_map_is_written(farm: Path, tmp_path: Path) -> None:
    """An empty file, and a folder that is not there."""
    sample = tmp_path / "empty.csv"
    sample.write_text("")

    assert sentinel("map", sample, "--farm", farm, "--to", tmp_path / "e.yaml").code == 2
    assert not (tmp_path / "e.yaml").exists()
    sample.write_text("Cow;Start\n7;2026-05-04 06:30\n")
    assert "is not a folder" in sentinel("map", sample, "--farm", farm, "--to", tmp_path / "no" / "e.yaml").err


def test_a_folder_that_says_the_box_is_seen(farm: Path, tmp_path: Path) -> None:
    """Of samples in several folders, or under the inbox of the farm."""
    text = "Cow;Start;Milk kg\n" + "".join(f"{n};2026-05-04 06:{n};9.{n % 9}\n" for n in range(10, 30))
    for home in (tmp_path / "away", farm / "exports"):
        for box in (1, 2):
            (home / f"box{box}").mkdir(parents=True, exist_ok=True)
            (home / f"box{box}" / "visits_1.csv").write_text(text)
    of_two = sentinel("map", *(tmp_path / "away" / f"box{box}" / "visits_1.csv" for box in (1, 2)), "--farm", farm)
    inside = sentinel("map", farm / "exports" / "box2" / "visits_1.csv", "--farm", farm)
    alone = sentinel("map", tmp_path / "away" / "box2" / "visits_1.csv", "--farm", farm)

    assert 'box: {file_name: "box{box}/*"}   # QUESTION: are these its names: 1, 2?' in of_two.out
    assert 'box: {file_name: "box{box}/*"}   # QUESTION: are these its names: 2?' in inside.out
    assert "file_name" not in alone.out
