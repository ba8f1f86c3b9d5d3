"""A sensor that says nonsense at every milking: nothing of it is averaged, and it is one line however long it lasts."""

from __future__ import annotations

from text_tables import moment
from whole.whole_farm import FARM, Life, setup_of, shipped_rules

from sentinel.edges.store.alerts import alerts_of_rule
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import rows_set_aside
from sentinel.flow.model import Export
from sentinel.runtime.ticks import batch_of

FEED = """
feed: milkings
files: "milkings_*.csv"
delimiter: ";"
tables:
  visits:
    cow: Cow
    start: Start
    box: Box
    milk_kg: Milk
    outcome: {column: Ended, words: {done: milked}}
  quarters:
    each: quarter
    conductivity_mS_cm: {column: "{quarter}", reference_temperature_C: 25}
    milk_kg: "{quarter} kg"
"""
PEOPLE = """
- person: Marit
  channels: [marit]
  hours: always
  worklist: yes
"""
HEAD = "Cow;Start;Box;Milk;Ended;LF;RF;LR;RR;LF kg;RF kg;LR kg;RR kg"
HOURS = range(1, 40)


def lived(nonsense: str) -> Life:
    """A day and a half of hourly exports, of four milkings each; the left front sensor of box 2 says `nonsense`."""
    life = Life(setup_of(shipped_rules(), (FEED,), farm=FARM, people=PEOPLE))
    for hour in HOURS:
        day, clock = 3 + hour // 24, hour % 24
        rows = [HEAD]
        for n in range(4):
            left_front = nonsense if n % 2 else f"5.{(hour + n) % 3}"
            quarters = f"{left_front};5.1;5.{n};5.2;2.5;2.5;2.{n + 4};2.5"
            start = f"2024-06-0{day} {clock:02}:{10 + 11 * n}"
            rows.append(f"{100 + (4 * hour + n) % 32};{start};{1 + n % 2};10.{n};done;{quarters}")
        found = batch_of(life.engine.setup, Export(f"milkings_{hour}.csv", "\n".join([*rows, ""]).encode(), 0))
        assert found is not None
        life.at(moment(f"{hour // 24}d{clock:02}:55" if hour >= 24 else f"{clock:02}:55"), found)
    return life


def test_what_it_says_is_unknown_and_told_once_for_all_files() -> None:
    """0 mS/cm of a quarter that gave milk: the cells are empty, each file has one reason, and all files one alert."""
    life = lived("0.0")

    at_box = dict(fetch(life.store, "select box, count(lf_conductivity_mS_cm) from visits group by box"))
    assert at_box == {"1": 2 * len(HOURS), "2": 0}
    reasons = [str(one["reason"]) for one in rows_set_aside(life.store)]
    assert reasons == [
        '"LF": 2 figures left out, all at box 2, as no such reading is possible (first 0; possible is 1–25 mS/cm); '
        "is it the sensor, the unit or the column?"
    ] * len(HOURS)
    alerts = alerts_of_rule(life.store, "rows-set-aside")
    assert [one.subject for one in alerts] == ["unread:milkings/LF"]
    assert alerts[0].text.startswith(f"milkings_{HOURS[-1]}.csv and {len(HOURS) - 1} other files of milkings: ")
    told = {one.id for one in alerts}
    about = [one for step in life.steps for one in step.notices if told & set(one.alerts)]
    assert {one.kind for one in about} == {"worklist"}
    for one in about:  # on the list of whoever looks after the computer, one line for all files
        assert sum("milkings_" in line for line in one.body.splitlines()) == 1
    assert life.told_again == life.alerts


def test_everything_else_is_decided_as_if_the_cells_were_empty() -> None:
    """The same alerts about cows, quarters, boxes and sensors, at the same seconds."""

    def others(life: Life) -> list[list[str]]:
        return [row for row in life.alerts if row[0] != "rows-set-aside"]

    assert others(lived("0.0")) == others(lived("")) == others(lived("9999"))
