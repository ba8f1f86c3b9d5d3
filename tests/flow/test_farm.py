"""farm.yaml: what it may say, and how its faults are told."""

from datetime import time

from sentinel.flow.farm import load_farm

GOOD = """\
name: Withy Brook
zone: Europe/Dublin
decimal: ","
boxes: [1, 2]
rounds: ["16:30", "6:30"]
chores:
  wash: {places: boxes, event: washed}
  wire: {places: [east, west]}
  tank: {}
"""


def test_a_farm_is_read_with_its_chores_spelt_out_per_place():
    """A chore at `boxes` becomes one chore per box; one without places has none."""
    farm, problems = load_farm(GOOD, "farm.yaml")
    assert problems == []
    assert [c.subject for c in farm.chores] == [
        "chore:wash/1", "chore:wash/2", "chore:wire/east", "chore:wire/west", "chore:tank",
    ]  # fmt: skip
    assert farm.rounds == (time(6, 30), time(16, 30))
    assert farm.boxes == ("1", "2")


def test_all_faults_are_told_at_once_with_their_places():
    """A misspelt key gets a suggestion; a zone, a time and an event that do not exist say what would be right."""
    text = GOOD.replace("Europe/Dublin", "Europe/Dubln").replace("rounds", "ronds").replace("washed", "wash")
    _, problems = load_farm(text, "farm.yaml")
    said = sorted(str(p) for p in problems)
    assert said == [
        "farm.yaml:2:1: zone: 'Europe/Dubln' is not a time zone; write it like \"Europe/Dublin\"",
        'farm.yaml:5:1: ronds: unknown key (did you mean "rounds"?)',
        "farm.yaml:7:3: chores.wash: event: 'wash' is not an event of a box log (did you mean \"washed\"?)",
    ]


def test_an_empty_file_says_what_must_be_given():
    """Nothing at all is not a traceback but the two things every farm has."""
    _, problems = load_farm("", "farm.yaml")
    assert [str(p) for p in problems] == [
        "farm.yaml:1:1: name: is missing and must be given",
        "farm.yaml:1:1: zone: is missing and must be given",
    ]
