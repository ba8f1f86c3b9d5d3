"""What people said of the round is on the page before the service has looked, and counts once it has."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from whole.page.round_farm import RULES, RoundFarm

from sentinel.demo.phone import Phone
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.flow.model import Chore
from sentinel.flow.views.round import round_page
from sentinel.runtime.farm_reader import FarmReader


@pytest.fixture
def farm(tmp_path: Path) -> Iterator[RoundFarm]:
    """The farm with thirteen chores, read once; its service does not look again by itself."""
    with Phone() as phone:
        found = RoundFarm(None, tmp_path / "farm", RULES, phone)
        found.service.catch_up()
        yield found
        found.page.stop()
        found.store.close()


def waiting(reader: FarmReader) -> int:
    """How many things the page says there are to do."""
    return round_page(reader.snapshot()).list.waiting


def test_a_tick_is_on_the_page_before_a_look_has_taken_it(farm: RoundFarm) -> None:
    """And so is that it was not done; the rows that decisions go by are as the last look left them."""
    reader = FarmReader(farm.service, farm.clock)
    assert waiting(reader) == 13
    done = Chore("filter", "2", farm.clock.now(), "Marit")
    assert reader.take("Marit/tick-0001", done, "thanks") is None
    assert reader.take("Marit/tick-0001", done, "thanks") == "thanks"

    assert waiting(reader) == 12
    assert farm.service.engine.tables is not None and farm.service.engine.tables.chores.empty
    assert reader.said_at("Marit/tick-0001") == done.at
    assert reader.said_at("Onno/tick-0001") is None
    reader.take("Marit/back-0001", Chore("filter", "2", done.at + 1, "Marit", undoes=done.at), "taken back")
    assert waiting(reader) == 13
    farm.service.catch_up()
    assert waiting(reader) == 13
    assert farm.logged("chore") == farm.logged("chore-undone") == ["filter/2"]


def test_the_same_tick_sent_by_many_at_once_is_recorded_once(farm: RoundFarm) -> None:
    """Twenty requests with one number, from as many threads as there are."""
    reader = FarmReader(farm.service, farm.clock)
    done = Chore("wash", "1", farm.clock.now(), "Marit")
    with ThreadPoolExecutor(20) as pool:
        replies = list(pool.map(lambda _: reader.take("Marit/tick-0001", done, "thanks"), range(20)))

    assert sorted(map(str, replies)) == ["None", *["thanks"] * 19]
    assert waiting_inputs(farm.store)[1] == (done,)
