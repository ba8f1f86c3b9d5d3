"""Each day's seal: made once the day is over, written and told where the farm wants it, and once."""

from __future__ import annotations

from pathlib import Path

import pytest
from text_tables import moment
from whole.whole_farm import FARM, FEED, LATE_COW, Life, batch, setup_of

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import all_notices
from sentinel.flow.record.seal import read_seals
from sentinel.flow.setup import Setup
from sentinel.runtime.record.sealing import Sealing
from sentinel.runtime.record.span import seals_that_do_not_fit

PEOPLE = "- person: Marit\n  channels: [phone]\n"


def setup(seal: str = "seal: {file: seals.jsonl, tell: [Marit, Nobody]}\n") -> Setup:
    """A farm that wants its seals in a file and told to Marit."""
    return setup_of(LATE_COW, (FEED,), FARM + seal, PEOPLE)


@pytest.fixture
def life(tmp_path: Path) -> Life:
    """Two days at which something was read."""
    lived = Life(setup(), Store(tmp_path / "sentinel.db"))
    for when in ("06:00", "1d06:00"):
        lived.at(
            when,
            batch(f"cow  start  box  outcome\n1  {when.replace('06:', '05:')}  1  milked", file=f"m{when[:2]}.csv"),
        )
    return lived


def sealed(life: Life, folder: Path, when: str, sealing: Sealing | None = None) -> list[str]:
    """The days that a look at that moment seals."""
    return [one.day for one in (sealing or Sealing(life.store)).look(life.engine.setup, folder, moment(when))]


def test_a_day_is_sealed_when_it_is_over_and_once(life: Life, tmp_path: Path) -> None:
    """Not before midnight; then by the first look, and by no other; days that were missed follow."""
    assert len(sealed(life, tmp_path, "1d00:00:01")) == 1
    assert sealed(life, tmp_path, "1d23:59:59") == []
    assert len(sealed(life, tmp_path, "4d00:01")) == 3
    assert sealed(life, tmp_path, "4d12:00") == []


def test_the_seal_is_in_the_file_in_the_log_and_on_its_way(life: Life, tmp_path: Path) -> None:
    """A line that fits the log; an entry that says to where; a notice to Marit, whom alone there is."""
    sealed(life, tmp_path, "1d00:10")

    [seal], problems = read_seals((tmp_path / "seals.jsonl").read_text(encoding="utf-8"), "seals.jsonl")
    assert problems == [] and seal.counts == {"read": 1} and seal.entries == 2
    entry = next(one.entry for one in log_entries(life.store) if one.entry.kind == "seal")
    assert (entry.body["head"], entry.body["to"]) == (seal.head, ["Marit", "seals.jsonl"])
    [notice] = [one for one in all_notices(life.store) if one.kind == "seal"]
    assert (notice.person, notice.urgency) == ("Marit", "round") and seal.head in notice.body
    assert fetch(life.store, "select count(*) from deliveries")[0][0] == 1
    last = log_entries(life.store)[-1].seq
    assert seals_that_do_not_fit(life.store, [seal], last) == []
    life.store.verify()


def test_a_seal_finds_a_log_that_was_made_anew(life: Life, tmp_path: Path) -> None:
    """The store of another past, or one put back from an old copy, does not fit it."""
    sealed(life, tmp_path, "2d00:10")
    [seal], _ = read_seals((tmp_path / "seals.jsonl").read_text(encoding="utf-8"), "")
    other = Life(setup(), begin="00:00")
    other.at("06:01", batch("cow  start  box  outcome\n1  05:00  1  milked"))

    [said] = seals_that_do_not_fit(other.store, [seal], log_entries(other.store)[-1].seq)
    assert "cut off" in said or "made anew" in said


def test_a_file_that_cannot_be_written_is_tried_again_later(life: Life, tmp_path: Path) -> None:
    """Its disk is not mounted: nothing is told as sealed, the watch goes on, and an hour later it is made up for."""
    life.engine.use(setup("seal: {file: gone/seals.jsonl, tell: [Marit]}\n"))
    sealing = Sealing(life.store)

    assert sealed(life, tmp_path, "1d00:10", sealing) == []
    assert [one for one in log_entries(life.store) if one.entry.kind == "seal"] == []
    assert all_notices(life.store) == []
    (tmp_path / "gone").mkdir()
    assert sealed(life, tmp_path, "1d00:20", sealing) == []
    assert len(sealed(life, tmp_path, "1d01:10:01", sealing)) == 1


def test_a_farm_that_wants_none_gets_none(life: Life, tmp_path: Path) -> None:
    """Without the setting nothing is written or said."""
    life.engine.use(setup(""))

    assert sealed(life, tmp_path, "3d00:10") == []
    assert list(tmp_path.glob("*.jsonl")) == []
