"""farm.yaml: what it may say, and how its faults are told."""

from datetime import time

from sentinel.flow.bounds import Bounds
from sentinel.flow.settings.farm import load_farm

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


GRAZING = """\
grazing:
  - {name: east, from: "07:00", to: "13:00", move_wire_before: "06:50"}
  - name: west
    from: "13:00"
    to: "19:30"
    groups: [older]
    out_after: 90 min
"""


def test_grazing_blocks_have_a_plan():
    """From when to when, by when the wire is moved, and how long after its end a cow counts as still out."""
    farm, problems = load_farm(GOOD + GRAZING, "farm.yaml")
    assert problems == []
    east, west = farm.grazing
    assert (east.name, east.begins, east.ends, east.move_wire_before) == ("east", time(7), time(13), time(6, 50))
    assert (west.groups, west.move_wire_before, west.out_after, east.out_after) == (("older",), None, 5400, 7200)


def test_a_wire_that_the_plan_names_is_known_as_planned():
    """East's wire has its time in the plan, west's has none: its rule goes by the rounds."""
    farm, _ = load_farm(GOOD + GRAZING, "farm.yaml")
    wires = {chore.place: chore.by_plan for chore in farm.chores if chore.name == "wire"}
    assert wires == {"east": "yes", "west": "no"}


def test_faults_of_a_grazing_plan_are_told_with_their_places():
    """A wire that no chore moves, and cows that would be in two blocks at once."""
    text = (GOOD + GRAZING).replace("name: east,", "name: eats,").replace('from: "13:00"', 'from: "12:30"')
    _, problems = load_farm(text, "farm.yaml")
    assert [str(p) for p in problems] == [
        'farm.yaml:11:46: grazing.0.move_wire_before: no chore wire has the place eats (did you mean "east"?)',
        "farm.yaml:13:5: grazing.1.from: west and eats are grazed by the same cows at the same time",
    ]
    _, problems = load_farm(GOOD + GRAZING.replace('to: "13:00"', 'to: "07:00"'), "farm.yaml")
    assert [str(p) for p in problems] == [
        "farm.yaml:11:5: grazing.0: from and to are the same time, so the block is never grazed"
    ]


def test_blocks_of_other_groups_or_other_months_may_be_grazed_at_the_same_time():
    """Only the same cows cannot be in two places."""
    apart = GRAZING.replace('from: "13:00"', 'from: "12:30"')
    for more in (("older]", "older]\n    first_day: 2026-06-01"), ("", "")):
        text = (GOOD + apart).replace(*more) if more[0] else GOOD + apart
        text = text.replace('"06:50"}', '"06:50", last_day: 2026-05-31}' if more[0] else '"06:50", groups: [young]}')
        assert load_farm(text, "farm.yaml")[1] == []


def test_what_one_file_may_be_at_most_can_be_set():
    """What is not said stays as it is; sizes carry their unit."""
    text = GOOD + "one_file: {size: 40 MB, unpacked: 0,5 MB, rows: 200000, unpack_within: 2 min, month: 900000}\n"
    farm, problems = load_farm(text.replace("0,5 MB", '"0,5 MB"'), "farm.yaml")
    assert problems == []
    assert farm.one_file == Bounds(size=40_000_000, unpacked=500_000, rows=200_000, seconds=120, month=900_000)
    assert load_farm(GOOD, "farm.yaml")[0].one_file == Bounds()


def test_a_bound_that_bounds_nothing_is_no_bound():
    """Each must be a number that a file can be held to."""
    text = GOOD + "one_file: {size: 40, rows: 0, memory: 1 TB, reasons: many}\n"
    _, problems = load_farm(text, "farm.yaml")
    said = [str(p) for p in problems]
    assert len(said) == 4
    assert said[0] == 'farm.yaml:10:12: one_file.size: 40 is not a size; write it like "16 MB"'
