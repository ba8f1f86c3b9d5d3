"""The tank's and the cows' tests lived through: what arrives, what is raised, and what a correction changes."""

from __future__ import annotations

from typing import Any

from whole.whole_farm import Life, alert_table, alerts, batch, setup_of, shipped_rules

from sentinel.edges.store.alerts import newest_alerts
from sentinel.runtime.replay import on_time

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


def shares(farm: Life) -> dict[str, float]:
    """The share of the tank's cells that each standing alert tells."""
    return {a.subject: round(a.facts["share_pct"], 1) for a in newest_alerts(farm.store).values() if a.standing}


def test_a_corrected_test_changes_the_others_shares() -> None:
    """A cow's share rests on every cow's test: when one is corrected, the others' figures follow."""
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
    assert shares(farm) == {"cow:7": 30.0, "cow:9": 60.0}

    farm.at("4d07:00", recording("cow  at  cells_k_ml  milk_kg\n9  06:00  200  20", "recording_2.csv"))

    assert shares(farm) == {"cow:7": 50.0}
    assert farm.alerts == alerts("""
        rule       subject  raised    over      urgency  value
        cow-cells  cow:7    3d07:00   -         round    300
        cow-cells  cow:9    3d07:00   4d07:00   round    600
        """)
    assert farm.told_again == farm.alerts


def test_a_recording_in_two_files() -> None:
    """Half the herd in one file and half in the next is one recording, whichever half came last."""
    farm = life()
    farm.at("3d07:00", recording("cow  at  cells_k_ml  milk_kg\n7  06:00  300  20\n8  06:00  100  20"))
    farm.at("3d08:00", recording("cow  at  cells_k_ml  milk_kg\n9  06:00  600  20", "recording_2.csv"))

    assert shares(farm) == {"cow:7": 30.0, "cow:9": 60.0}


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
