"""A feed map that was wrong is put right: what it read is read again, and nothing of the mistake stays."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from whole.farm_rows import quick
from whole.map_farm import MapFarm, at

from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.exports import rereads
from sentinel.edges.store.exports.feeds import feed_state
from sentinel.edges.store.history import last_tick
from sentinel.flow.model import Entry, TickKind
from sentinel.flow.reasons import in_english
from sentinel.flow.tables import TANK, VISITS
from sentinel.runtime.engine import Engine
from sentinel.runtime.farm_folder import load_setup

MILKINGS = """\
feed: milkings
files: "milkings_*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M"
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: {column: Milk, unit: kg}
"""
POUNDS = MILKINGS.replace("unit: kg", "unit: lb")
TANK_MAP = """\
feed: tank
files: "tank_*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M"
tables:
  tank: {tank: Tank, at: At, temperature_C: Temp}
"""
TANK_AS_VISITS = """\
feed: tank
files: "tank_*.csv"
form: delimited
delimiter: ";"
times: "%Y-%m-%d %H:%M"
tables:
  visits: {cow: Tank, start: At, box: Litres}
"""
HEADER = "Cow;Start;Box;Milk\n"


def day(date: str, *rows: str) -> str:
    """A day's export: `cow time box milk` a row."""
    cells = [row.split() for row in rows]
    return HEADER + "".join(f"{cow};{date} {time};{box};{milk}\n" for cow, time, box, milk in cells)


@pytest.fixture
def farm(tmp_path: Path) -> MapFarm:
    """A farm with a map in pounds, of milk that was in kilograms."""
    found = MapFarm(tmp_path / "farm")
    found.map("milkings", POUNDS)
    found.export("milkings_1.csv", day("2026-05-04", "7 05:00 1 12.5", "8 05:10 2 11.0"), "2026-05-04 06:00")
    return found


def test_a_unit_put_right_puts_the_rows_right(farm: MapFarm) -> None:
    """Without a touch of the files; the log says which edit did it, and in which of the map's settings."""
    farm.look("2026-05-04 06:00")
    assert [row[-1] for row in farm.rows(VISITS)] == [pytest.approx(5.67, abs=0.01), pytest.approx(4.99, abs=0.01)]
    farm.map("milkings", MILKINGS)
    farm.look("2026-05-04 07:00")

    assert [row[-1] for row in farm.rows(VISITS)] == [12.5, 11.0]
    [entry] = farm.log("reread")
    assert entry["because"] == "feeds/milkings.yaml: tables.visits.milk_kg.unit lb → kg"
    assert (entry["files"], entry["withdrawn"]) == (1, 0)
    assert farm.told_again == farm.alerts
    assert any("feeds/milkings.yaml: " in said and "1 file read again" in said for said in farm.heard)


def test_rows_of_another_table_are_withdrawn_and_their_alerts_end(farm: MapFarm) -> None:
    """Tank readings drafted as visits: the cow and the box that never were are gone, and their alerts say why."""
    farm.map("tank", TANK_AS_VISITS)
    farm.map("milkings", MILKINGS)
    farm.export("tank_1.csv", "Tank;At;Litres;Temp\n1;2026-05-04 03:00;340000;3.9\n", "2026-05-04 06:00")
    farm.look("2026-05-04 06:00")
    farm.export("milkings_2.csv", day("2026-05-04", "7 17:00 1 12.5", "8 17:10 2 11.0"), "2026-05-04 18:00")
    farm.export("tank_2.csv", "Tank;At;Litres;Temp\n2;2026-05-04 17:30;340000;3.9\n", "2026-05-04 18:00")
    farm.look("2026-05-04 18:00")
    assert {"cow:1", "box:340000"} & {alert.subject for alert in all_alerts(farm.store) if alert.standing}
    farm.map("tank", TANK_MAP)
    farm.look("2026-05-04 18:10")

    assert {row[0] for row in farm.rows(VISITS)} == {"7", "8"}
    assert len(farm.rows(TANK)) == 2
    ended = {alert.subject: in_english(alert.over_why) for alert in all_alerts(farm.store) if alert.over_why}
    assert "cow:1" in ended and "feeds/tank.yaml" in ended["cow:1"]
    assert not [a for a in all_alerts(farm.store) if a.standing and a.subject in ("cow:1", "box:340000")]
    assert feed_state(farm.store)["tank"] == (("tank",), at("2026-05-04 17:30"))
    assert farm.told_again == farm.alerts


def test_a_map_that_goes_takes_its_rows_with_it(farm: MapFarm) -> None:
    """And when it comes back they are read again."""
    farm.look("2026-05-04 06:00")
    farm.map("milkings", None)
    farm.look("2026-05-04 07:00")
    assert farm.rows(VISITS) == []
    assert "milkings" not in feed_state(farm.store)
    farm.map("milkings", MILKINGS)
    farm.look("2026-05-04 08:00")

    assert [row[-1] for row in farm.rows(VISITS)] == [12.5, 11.0]
    assert farm.told_again == farm.alerts


def test_a_map_of_another_name_takes_the_rows_over(farm: MapFarm) -> None:
    """No row is lost, and none is told by a feed that is no more."""
    farm.map("milkings", MILKINGS)
    farm.look("2026-05-04 06:00")
    farm.map("milkings", MILKINGS.replace("feed: milkings", "feed: boxes"))
    farm.look("2026-05-04 07:00")

    assert [row[-1] for row in farm.rows(VISITS)] == [12.5, 11.0]
    assert set(feed_state(farm.store)) == {"boxes"}
    assert farm.told_again == farm.alerts


def test_what_a_file_that_is_gone_gave_stays_and_the_file_is_named(farm: MapFarm) -> None:
    """Its rows cannot be read again; by hand they can be taken back."""
    farm.look("2026-05-04 06:00")
    farm.export("milkings_1.csv", None, "")
    farm.export("milkings_2.csv", day("2026-05-04", "9 07:00 1 12.5"), "2026-05-04 08:00")
    farm.map("milkings", MILKINGS)
    farm.look("2026-05-04 08:00")

    assert [row[0] for row in farm.rows(VISITS)] == ["7", "8", "9"]
    [entry] = farm.log("reread")
    assert entry["gone_named"] == ["milkings_1.csv"]
    assert any("milkings_1.csv" in said and "--withdraw" in said for said in farm.heard)
    rereads.ask(farm.store, "milkings_1.csv", at("2026-05-04 08:10"), withdraw=True)
    farm.look("2026-05-04 08:10")
    assert [row[0] for row in farm.rows(VISITS)] == ["9"]
    assert farm.told_again == farm.alerts


def test_a_file_that_the_new_map_cannot_read_keeps_what_it_gave(farm: MapFarm) -> None:
    """A slip in a title is told as such; when that is mended, all that the first map gave is put right."""
    farm.look("2026-05-04 06:00")
    farm.map("milkings", MILKINGS.replace("column: Milk", "column: Mlik"))
    farm.look("2026-05-04 07:00")
    assert [row[0] for row in farm.rows(VISITS)] == ["7", "8"]
    farm.look("2026-05-04 07:10")
    assert sum("Mlik" in said for said in farm.heard if "read again" in said) == 1
    farm.map("milkings", MILKINGS.replace("    box: Box\n", ""))
    farm.look("2026-05-04 08:00")

    assert farm.rows(VISITS) == [("7", at("2026-05-04 05:00"), 12.5), ("8", at("2026-05-04 05:10"), 11.0)]
    assert farm.told_again == farm.alerts


def test_a_remark_in_a_map_has_nothing_read_again(farm: MapFarm) -> None:
    """Nor has a change of a rule, or of how often files should come."""
    farm.look("2026-05-04 06:00")
    farm.map("milkings", "# a remark\n" + POUNDS + "pace: daily\n")
    farm.heard.clear()
    farm.look("2026-05-04 07:00")

    assert farm.log("reread") == []
    assert not any("read" in said for said in farm.heard)


ROWS = [f"{cow} {hour:02}:{cow} {box} {milk}" for cow in (17, 28, 39) for hour in (1, 9) for box, milk in ((1, 11.5),)]
MAPS = st.sampled_from(
    [
        MILKINGS,
        POUNDS,
        MILKINGS.replace("    milk_kg: {column: Milk, unit: kg}\n", ""),
        MILKINGS.replace("cow: Cow", "cow: Box").replace("box: Box", "box: Cow"),
        MILKINGS.replace("feed: milkings", "feed: others"),
        MILKINGS.replace("milkings_*.csv", "milkings_1.csv"),
        MILKINGS.replace("column: Milk", "column: Mlik"),
        MILKINGS + "zone: Europe/Berlin\n",
        None,
    ]
)


@quick
@given(data=st.data())
def test_after_any_edits_the_rows_are_those_of_a_farm_that_began_with_the_last_map(data: st.DataObject) -> None:
    """Whatever maps there were before, and whatever alerts they raised; and the past is told again as it was."""
    days = ["2026-05-04", "2026-05-05", "2026-05-06"]
    with tempfile.TemporaryDirectory() as folder:
        edited, fresh = MapFarm(Path(folder) / "edited"), MapFarm(Path(folder) / "fresh")
        edited.map("milkings", data.draw(MAPS.filter(bool)))
        last = None
        for number, date in enumerate(days, 1):
            rows = data.draw(st.lists(st.sampled_from(ROWS), min_size=1, max_size=5, unique=True))
            for farm in (edited, fresh):
                farm.export(f"milkings_{number}.csv", day(date, *rows), f"{date} 10:00")
            edited.look(f"{date} 10:00")
            for hour in data.draw(st.sampled_from([(), (11,), (11, 12)])):
                last = data.draw(MAPS)
                path = edited.folder / "feeds" / "milkings.yaml"
                if last is not None or path.exists():
                    edited.map("milkings", last)
                edited.look(f"{date} {hour}:00")
        final = data.draw(MAPS.filter(lambda text: text is not None and "Mlik" not in text))
        for farm in (edited, fresh):
            farm.map("milkings", final)
            farm.look("2026-05-06 14:00")

        assert edited.all_rows() == fresh.all_rows()
        assert feed_state(edited.store) == feed_state(fresh.store)
        assert edited.told_again == edited.alerts
        edited.store.verify()


def test_a_running_sentinel_goes_by_an_edit_at_once_and_by_a_word(farm: MapFarm) -> None:
    """No start is needed; and a word that is left by hand is done at the next look."""
    farm.clock.at = at("2026-05-04 06:00")
    service = farm.service()
    service.catch_up(TickKind.START)
    farm.map("milkings", MILKINGS)
    setup, secrets, _ = load_setup(farm.folder, {})
    assert setup is not None
    farm.clock.at += 60
    service._go_by(setup, secrets)
    assert service.looks.reread_waits()
    farm.clock.at += 60
    service.looks.look()
    assert [row[-1] for row in farm.rows(VISITS)] == [12.5, 11.0]
    assert not service.looks.reread_waits()
    rereads.ask(farm.store, "milkings", farm.clock.now(), withdraw=True)
    farm.clock.at += 60
    assert service.looks.reread_waits()
    service.looks.look()

    assert farm.rows(VISITS) == []
    service.monitor.end()
    assert farm.told_again == farm.alerts


def test_a_stop_half_way_decides_nothing_and_it_all_begins_anew(farm: MapFarm) -> None:
    """Rows of two maps stand side by side then, and nothing may be made of them."""
    farm.export("milkings_2.csv", day("2026-05-04", "9 07:00 1 12.5"), "2026-05-04 08:00")
    farm.look("2026-05-04 08:00")
    ticks = len(farm.log("reread")), last_tick(farm.store)
    farm.map("milkings", MILKINGS)
    farm.clock.at = at("2026-05-04 08:30")
    service = farm.service()
    service.inbox.most_bytes = 1  # a look takes up one file
    taken = service.intake.take

    def take(*given: Any) -> list[Entry]:
        found = taken(*given)
        service.stop()
        return found

    service.intake.take = take  # type: ignore[method-assign]
    service.catch_up(TickKind.START)
    assert service.looks.half_read
    assert (len(farm.log("reread")), last_tick(farm.store)) == ticks
    service.monitor.end()
    farm.look("2026-05-04 09:00")

    assert [row[-1] for row in farm.rows(VISITS)] == [12.5, 11.0, 12.5]
    assert farm.told_again == farm.alerts


def test_a_kill_at_any_write_leaves_what_a_fresh_start_makes(tmp_path: Path) -> None:
    """After each transaction of a reading again in turn: the next start comes to the same."""

    class Killed(BaseException):
        pass

    cuts, absorb = 0, Engine.absorb
    while True:
        farm = MapFarm(tmp_path / str(cuts))
        farm.map("milkings", POUNDS)
        for number, date in enumerate(("2026-05-04", "2026-05-05"), 1):
            farm.export(f"milkings_{number}.csv", day(date, "7 05:00 1 12.5", "8 05:10 2 11.0"), f"{date} 06:00")
            farm.look(f"{date} 06:00")
        farm.map("milkings", MILKINGS.replace("    box: Box\n", ""))
        left = cuts

        def dies(self: Engine, *given: Any) -> None:
            nonlocal left
            absorb(self, *given)
            left -= 1
            if left < 0:
                raise Killed

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Engine, "absorb", dies)
            try:
                farm.look("2026-05-05 07:00")
            except Killed:
                pass
            else:
                break
        farm.look("2026-05-05 08:00")
        assert [row[-1] for row in farm.rows(VISITS)] == [12.5, 11.0, 12.5, 11.0]
        assert farm.told_again == farm.alerts
        cuts += 1

    assert cuts == 3
