"""Running a rule's examples: small tables in, what the rule must say out."""

from sentinel.flow.examples import example_known_until, example_tables, run_examples
from sentinel.flow.measures import measure_named
from sentinel.flow.rules import Rule, load_rules

AT = 1_772_539_200
H = 3600

LATE = """\
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h
  urgency: round
  say: "Cow {cow}"
  examples:
"""


def _late(example: str) -> Rule:
    rules, problems = load_rules(LATE + example, "rules/cows.yaml")
    assert problems == []
    return rules[0]


def _told(example: str) -> list[str]:
    return [str(problem) for problem in run_examples(_late(example), measure_named("hours_since_milking"), AT)]


def test_rows_become_frames_in_time_order_with_their_quarters() -> None:
    """Times are counted back from the moment, quarters stand in their visit, a herd list holds from long ago."""
    tables = example_tables(
        {
            "visits": "cow  start    box  outcome\n9  now  1  failed\n217  1 h ago  2  incomplete",
            "quarters": "cow  start  box  quarter  conductivity_mS_cm  kicked_off\n"
            "217  1 h ago  2  LF  5.8  -\n217  1 h ago  2  RR  5.1  yes\n217  9 h ago  2  LF  5.0  no",
            "cows": "cow  status\n217  milking",
            "chores": "chore  place  at\nwire  -  2 h ago",
        },
        AT,
    )

    shown = tables.visits[["cow", "start", "outcome", "lf_conductivity_mS_cm", "rr_kicked_off"]]
    assert shown.fillna(-1).to_numpy().tolist() == [
        ["217", AT - 9 * H, "milked", 5.0, -1],
        ["217", AT - H, "incomplete", 5.8, 1.0],
        ["9", AT, "failed", -1, -1],
    ]
    assert tables.cows[["cow", "from"]].to_numpy().tolist() == [["217", AT - 300 * 24 * H]]
    assert tables.farm.boxes == ("1", "2")
    assert [chore.subject for chore in tables.farm.chores] == ["chore:wire"]


def test_a_table_is_known_until_its_newest_row() -> None:
    """As a feed is; quarters come with their visits; an empty table is known of nothing; own tables bound nothing."""
    known = example_known_until(
        {
            "visits": "cow  start\n1  9 h ago\n2  3 h ago",
            "quarters": "cow  start  quarter\n1  2 h ago  LF",
            "box_log": "box  at  event",
            "chores": "chore  place  at\nwire  -  now",
        },
        AT,
    )

    tables = {name: until for name, until in known.items() if "." not in name}
    assert tables == {"visits": AT - 2 * H, "quarters": AT - 2 * H, "box_log": None}
    assert known["visits.start"] == AT - 3 * H


def test_an_example_that_comes_out_as_it_says_has_no_problem() -> None:
    """Raised where it says so, unknown where the export stops."""
    assert _told("    - raises: cow:1\n      visits: |\n        cow  start  outcome\n        1  15 h ago  milked\n"
                 "        2  now  milked\n") == []  # fmt: skip
    assert _told("    - unknown: cow:1\n      visits: |\n        cow  start  outcome\n        1  15 h ago  milked\n"
                 "        2  2 h ago  milked\n") == []  # fmt: skip


def test_an_example_that_comes_out_otherwise_is_told_with_its_place_and_the_value() -> None:
    """The problem stands at the example in the rules file and says what the rule said instead."""
    quiet = "    - quiet: cow:1\n      visits: |\n        cow  start  outcome\n        1  15 h ago  milked\n"
    told = _told(quiet + "        2  now  milked\n" + quiet.replace("quiet", "raises") + "        2  2 h ago  milked\n")

    assert told == [
        "rules/cows.yaml:7:7: examples.0: cow:1 should stay quiet, but the value is 15 h, so the rule holds",
        "rules/cows.yaml:12:7: examples.1: cow:1 should be raised, but the rule cannot tell: "
        "the export has not come that far",
    ]


def test_an_alert_that_the_example_does_not_say_is_told() -> None:
    """Raising the right cow is not enough if another is raised as well."""
    assert _told("    - raises: cow:1\n      visits: |\n        cow  start  outcome\n        1  15 h ago  milked\n"
                 "        2  16 h ago  milked\n        3  now  milked\n") == [
        "rules/cows.yaml:7:7: examples.0: cow:2 is raised too (the value is 16 h, so the rule holds), "
        "which the example does not say"
    ]  # fmt: skip


def test_an_example_may_say_how_pressing_it_is() -> None:
    """A wrong urgency is a wrong example."""
    assert _told("    - raises: cow:1\n      urgency: now\n      visits: |\n        cow  start  outcome\n"
                 "        1  15 h ago  milked\n        3  now  milked\n") == [
        "rules/cows.yaml:7:7: examples.0: cow:1 should be now, but it is round"
    ]  # fmt: skip


BY_RECORDING = """
- rule: cells
  measure: recording_high_cows
  raise_over: 0 cows
  urgency: round
  say: "{recording}: {value}"
  examples:
    - raises: recording:3 d ago
      cow_tests: |
        cow  at        cells_k_ml
        7    33 d ago  300
        7    3 d ago   400
    - quiet: recording:3 d ago
      cow_tests: |
        cow  at        cells_k_ml
        7    3 d ago   400
"""


def test_a_recording_in_an_example_is_found_by_how_long_ago_it_was() -> None:
    """Whatever the day on which the example is run; the second is wrong, and is told by the same name."""
    for at in (AT, AT + 1_000_000):
        (rule,), _ = load_rules(BY_RECORDING, "rules/cells.yaml")
        (problem,) = run_examples(rule, measure_named(rule.measure), at)
        assert "examples.1: recording:3 d ago should stay quiet, but the value is 1 cow" in str(problem)
