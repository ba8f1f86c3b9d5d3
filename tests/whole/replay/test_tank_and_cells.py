"""The tank's and the cows' tests lived through: what arrives, what is raised, and what a correction changes."""

from __future__ import annotations

from typing import Any

from text_tables import moment
from whole.whole_farm import Life, alert_table, alerts, batch, setup_of, shipped_rules

from sentinel.edges.store.alerts import newest_alerts
from sentinel.flow.alerts.lifecycle import OTHER_SUBJECTS
from sentinel.flow.alerts.listed import to_look_at
from sentinel.flow.model import Alert, Answer, TickKind
from sentinel.runtime.record.replay import on_time

RULES = {name: text for name, text in shipped_rules().items() if name in ("rules/tank.yaml", "rules/cells.yaml")}

TANK_FEED = """
feed: tank
files: "tank_*.csv"
form: delimited
tables:
  tank: {tank: Tank, at: At, cells_k_ml: {column: Cells, unit: 1000/ml}}
"""

TESTS_FEED = """
feed: recording
files: "recording_*.csv"
form: delimited
pace: monthly
tables:
  cow_tests: {cow: Cow, at: At, cells_k_ml: {column: Cells, unit: 1000/ml}, milk_kg: {column: Milk, unit: kg}}
"""


def tank(text: str) -> Any:
    """An export of the tank."""
    return batch(text, "tank", feed="tank", file="tank_1.csv")


def recording(text: str, file: str = "recording_1.csv") -> Any:
    """An export of a milk recording."""
    return batch(text, "cow_tests", feed="recording", file=file)


def life() -> Life:
    """A farm with the shipped rules for cells and tank."""
    return Life(setup_of(RULES, (TANK_FEED, TESTS_FEED)))


def test_a_tank_over_its_limit() -> None:
    """Raised when the test's export comes, untouched by temperatures, over with a better test; told again the same."""
    farm = life()
    farm.at("1d07:00", tank("tank  at  cells_k_ml\n1  1d06:00  500"))
    farm.at("31d07:00", tank("tank  at  cells_k_ml\n1  31d06:00  500"))
    farm.at("61d07:00", tank("tank  at  cells_k_ml\n1  61d06:00  500"))
    for hour in ("08", "09", "10"):
        text = f"tank  at  temperature_C  litres\n1  61d{hour}:00  4.1  3000"
        farm.at(f"61d{hour}:10", tank(text))
    farm.at("75d07:00", tank("tank  at  cells_k_ml\n1  75d06:00  60"))

    assert farm.alerts == alerts("""
        rule             subject  raised     over       urgency  value
        tank-cells       tank:1   61d07:00   75d07:00   round    500
        tank-cells-near  tank:1   61d07:00   75d07:00   round    500
        """)
    assert farm.told_again == farm.alerts
    assert "held-back" in {entry.split()[1] for entry in farm.log("held-back")}


def test_warm_milk() -> None:
    """Milk over 6 °C waits for the round, over 8 °C it rings at once, and cold milk ends it."""
    thermometer = TANK_FEED.replace("cells_k_ml:", "temperature_C: Temp, litres: Litres, cells_k_ml:")
    farm = Life(setup_of(RULES, (thermometer, TESTS_FEED)))
    for clock, degrees in (("06", "4.0"), ("07", "6.0"), ("08", "6.5"), ("09", "8.3"), ("10", "5.9")):
        farm.at(f"{clock}:10", tank(f"tank  at  temperature_C  litres\n1  {clock}:00  {degrees}  3000"))

    assert farm.alerts == alerts("""
        rule       subject  raised  over   urgency  value
        tank-warm  tank:1   08:10   10:10  now      6.5
        """)
    assert farm.told_again == farm.alerts
    assert farm.log("more-pressing") == ["09:10 more-pressing tank-warm tank:1"]


def standing(farm: Life) -> Alert:
    """The one alert that stands."""
    (alert,) = (alert for alert in newest_alerts(farm.store).values() if alert.standing)
    return alert


def shares(farm: Life) -> dict[str, float]:
    """The cows that the standing alert is about, each with her share of the tank's cells."""
    return {one["cow"]: one["share_pct"] for one in to_look_at(standing(farm).facts)}


def test_a_corrected_test_changes_the_list_of_its_own_recording() -> None:
    """A cow's share rests on every cow's test: when one is corrected she leaves the list, and the others' follow."""
    farm = life()
    farm.at(
        "3d07:00",
        recording("""
            cow  at     cells_k_ml  milk_kg
            7    06:00  300         20
            9    06:00  600         20
            10   06:00  100         20
            """),
    )
    assert shares(farm) == {"7": 30.0, "9": 60.0}

    farm.at("4d07:00", recording("cow  at  cells_k_ml  milk_kg\n9  06:00  200  20", "recording_2.csv"))

    assert shares(farm) == {"7": 50.0}
    assert standing(farm).text.startswith("Cell counts of 3 Jun 2024: 1 cow over 200 k/ml")
    assert farm.alerts == alerts("""
        rule       subject               raised   over  urgency  value
        cow-cells  recording:2024-06-03  3d07:00  -     round    2
        """)
    assert farm.told_again == farm.alerts


def test_a_recording_in_two_files() -> None:
    """Half the herd in one file and half in the next is one recording, whichever half came last."""
    farm = life()
    farm.at("3d07:00", recording("cow  at  cells_k_ml  milk_kg\n7  06:00  300  20\n8  06:00  100  20"))
    farm.at("3d08:00", recording("cow  at  cells_k_ml  milk_kg\n9  06:00  600  20", "recording_2.csv"))

    assert shares(farm) == {"7": 30.0, "9": 60.0}
    assert farm.log("raised") == ["3d07:00 raised cow-cells recording:2024-06-03"]


def of_month(begin: str, *cells: int) -> str:
    """A recording of cows 7, 8, 9, 10 ... at one moment."""
    lines = "".join(f"\n{cow}  {begin}  {count}  20" for cow, count in enumerate(cells, start=7))
    return f"cow  at  cells_k_ml  milk_kg{lines}"


def test_a_recording_stands_until_the_next() -> None:
    """Month by month one item; a recording without a high count ends the one before, and raises none."""
    farm = life()
    farm.at("3d07:00", recording(of_month("06:00", 90, 400, 300, 100)))
    farm.at("30d07:00", recording(of_month("28d06:00", 250, 400, 100, 100), "recording_2.csv"))
    assert standing(farm).text == (
        "Cell counts of 1 Jul 2024: 2 cows over 200 k/ml (1 new, 1 still high). Cow 8 brings 47.1 % of the tank's cells"
    )
    farm.at("58d07:00", recording(of_month("56d06:00", 90, 90, 90, 90), "recording_3.csv"))
    farm.at("86d07:00", recording(of_month("84d06:00", 90, 900, 90, 90), "recording_4.csv"))

    assert "(1 high again)" in standing(farm).text
    assert farm.alerts == alerts("""
        rule       subject               raised    over      urgency  value
        cow-cells  recording:2024-06-03  3d07:00   30d07:00  round    2
        cow-cells  recording:2024-07-01  30d07:00  58d07:00  round    2
        cow-cells  recording:2024-08-26  86d07:00  -         round    1
        """)
    assert farm.told_again == farm.alerts
    assert alert_table(on_time(farm.store, farm.engine.setup)) == alerts("""
        rule       subject               raised    over      urgency  value
        cow-cells  recording:2024-06-03  06:00     28d06:00  round    2
        cow-cells  recording:2024-07-01  28d06:00  56d06:00  round    2
        cow-cells  recording:2024-08-26  84d06:00  -         round    1
        """)


def answer(farm: Life, at: str) -> tuple[Answer, ...]:
    """An answer to what stands."""
    return (Answer(standing(farm).id, moment(at), "Ann", "looked at the cows listed"),)


def test_an_answer_takes_it_off_the_list_until_a_cow_comes_on_it() -> None:
    """Corrected figures of cows that were seen bring nothing back; a cow that nobody has seen does."""
    farm = life()
    farm.at("3d07:00", recording(of_month("06:00", 90, 400, 300, 100)))
    farm.at("4d07:00", answers=answer(farm, "4d07:00"))
    assert standing(farm).answered

    farm.at("5d07:00", recording(of_month("06:00", 90, 700, 90, 100), "recording_2.csv"))
    assert standing(farm).answered and shares(farm).keys() == {"8"}

    late = "cow  at  cells_k_ml  milk_kg\n11  06:00  900  20"
    farm.at("6d07:00", recording(late, "recording_3.csv"))

    assert not standing(farm).answered and shares(farm).keys() == {"8", "11"}
    assert farm.log("raised", "again", "over") == [
        "3d07:00 raised cow-cells recording:2024-06-03",
        "6d07:00 again cow-cells recording:2024-06-03",
    ]
    assert farm.told_again == farm.alerts


def test_one_cows_milk_sent_in_by_itself_is_no_recording() -> None:
    """It joins the list of the recording before, and is no end of it."""
    farm = life()
    farm.at("3d07:00", recording(of_month("06:00", 90, 400, 90, 100)))
    farm.at("12d07:00", recording("cow  at  cells_k_ml  milk_kg\n9  10d06:00  600  -", "recording_2.csv"))

    assert shares(farm) == {"9": None, "8": 67.8}  # by hand: 400 of 90 + 400 + 100; of 9 no milk is known any more
    assert farm.log("raised", "over") == ["3d07:00 raised cow-cells recording:2024-06-03"]
    assert farm.told_again == farm.alerts


BY_COW = """
- rule: cow-cells
  measure: cow_cells_k_ml
  raise_over: 200 k/ml
  urgency: round
  say: "Cow {cow}: {value}"
"""


def test_alerts_on_single_cows_end_when_the_rule_is_about_recordings() -> None:
    """A farm that had one alert a cow: all of them end with a reason, and one takes their place."""
    farm = Life(setup_of({"rules/cells.yaml": BY_COW}, (TANK_FEED, TESTS_FEED)))
    farm.at("3d07:00", recording(of_month("06:00", 90, 400, 300, 100)))
    farm.at("3d08:00", answers=(Answer(1, moment("3d08:00"), "Ann"),))
    farm.restart(setup_of(RULES, (TANK_FEED, TESTS_FEED)))
    farm.at("4d07:00", kind=TickKind.START)

    assert farm.alerts == alerts("""
        rule       subject               raised   over     urgency  value
        cow-cells  cow:8                 3d07:00  4d07:00  round    400
        cow-cells  cow:9                 3d07:00  4d07:00  round    300
        cow-cells  recording:2024-06-03  4d07:00  -        round    2
        """)
    ended = [alert for alert in newest_alerts(farm.store).values() if not alert.standing]
    assert {alert.over_why for alert in ended} == {OTHER_SUBJECTS}
    assert farm.log("over") == ["4d07:00 over cow-cells cow:8", "4d07:00 over cow-cells cow:9"]
    assert farm.told_again == farm.alerts


THERMOMETER_FEED = """
feed: thermometer
files: "thermometer_*.csv"
form: delimited
tables:
  tank: {tank: Tank, at: At, temperature_C: {column: Temp, unit: degC}, litres: {column: Litres, unit: l}}
"""


def test_a_laboratory_and_a_thermometer() -> None:
    """Two feeds fill the tank's table: a monthly laboratory does not hold up the thermometer, nor it the laboratory."""
    farm = Life(setup_of(RULES, (TANK_FEED, THERMOMETER_FEED)))
    for day in ("1", "31", "61"):
        farm.at(f"{day}d06:00", tank(f"tank  at  cells_k_ml\n1  {day}d06:00  500"))
    warm = "tank  at  temperature_C  litres\n1  80d06:00  8.3  3000"
    farm.at("80d06:00", batch(warm, "tank", feed="thermometer", file="thermometer_1.csv"))

    assert farm.alerts == alerts("""
        rule             subject  raised    over  urgency  value
        tank-cells       tank:1   61d06:00  -     round    500
        tank-cells-near  tank:1   61d06:00  -     round    500
        tank-warm        tank:1   80d06:00  -     now      8.3
        """)
    assert farm.told_again == farm.alerts
    assert alert_table(on_time(farm.store, farm.engine.setup)) == farm.alerts
