"""Which alert may be the cause of which: boxes and their cows and chores, feeds and their rules, the herd."""

from __future__ import annotations

from dataclasses import replace

import pytest
from text_tables import moment, table
from whole.whole_farm import LATE_COW, setup_of, shipped_rules

from sentinel.flow.alerts.links import Links, covers, links_of, touches
from sentinel.flow.model import Alert
from sentinel.flow.tables import BoxFacts, FarmFacts, FeedFacts, Tables

LINKS = Links({"7": frozenset({"2"})}, {"late-cow": frozenset({"milkings"}), "box-quiet": frozenset({"milkings"})})


def standing(number: int, rule: str, subject: str) -> Alert:
    """An alert that stands."""
    return Alert(number, rule, subject, 10, 10, "now", "")


@pytest.mark.parametrize(
    ("cause", "subject", "rule_name", "touched"),
    [
        ("box:2", "cow:7", "late-cow", True),
        ("box:1", "cow:7", "late-cow", False),
        ("box:1", "cow:99", "late-cow", True),  # nobody knows which boxes she uses
        ("box:2", "quarter:7/LF", "quarter-conductivity", True),
        ("box:2", "chore:wash/2", "chore-due", True),
        ("box:2", "chore:wire/east", "chore-due", False),
        ("box:2", "box:2", "box-failures", True),
        ("box:2", "tank:1", "tank-warm", False),
        ("feed:milkings", "cow:7", "late-cow", True),
        ("feed:herd", "cow:7", "late-cow", False),
        ("feed:milkings", "rule:late-cow", "cannot-tell", True),
        ("herd", "cow:7", "late-cow", True),
        ("cow:7", "cow:7", "late-cow", True),
        ("cow:8", "cow:7", "late-cow", False),
    ],
)
def test_a_cause_covers_what_rests_on_it(cause: str, subject: str, rule_name: str, touched: bool) -> None:
    """A box its cows and chores, a feed its rules, the herd everything."""
    assert touches(standing(1, "cause", cause), standing(2, rule_name, subject), LINKS) is touched


def test_a_cause_covers_only_what_its_rule_is_said_to_cover() -> None:
    """That it touches it is not enough."""
    box, cow = standing(1, "box-quiet", "box:2"), standing(2, "late-cow", "cow:7")

    assert covers(box, cow, ("box-quiet", "feed-quiet"), LINKS)
    assert not covers(box, cow, ("feed-quiet",), LINKS)


def test_the_feed_that_stopped_first_stands_for_those_that_stopped_with_it() -> None:
    """And none of them for it, nor for a feed that stopped alone."""
    links = Links(leads={"visits": "visits", "boxlog": "visits", "herd": "herd"})
    visits, boxlog, herd = (standing(n, "feed-quiet", f"feed:{name}") for n, name in enumerate(links.leads, 1))

    assert covers(visits, boxlog, (), links)
    assert not any(covers(a, b, (), links) for a, b in ((boxlog, visits), (visits, herd), (visits, visits)))


def test_a_moment_of_a_history_knows_no_later_visit() -> None:
    """Which boxes a cow uses is asked of a whole history too: what she did afterwards is not known then."""
    visits = table("visits", "cow  start     box  outcome\n7  1d06:00  1  milked\n7  2d06:00  2  milked")
    rules = setup_of(LATE_COW).rules
    used = [
        links_of(moment(at), rules, Tables(visits=visits), FarmFacts()).boxes_of["7"] for at in ("1d12:00", "2d12:00")
    ]

    assert used == [frozenset({"1"}), frozenset({"1", "2"})]


def test_a_feed_of_which_one_box_s_files_stopped_covers_nothing() -> None:
    """What rests on the other boxes goes on; once the whole feed is quiet it covers all."""
    setup = setup_of(LATE_COW)
    boxes = (BoxFacts("1", moment("11:00")), BoxFacts("2", moment("06:00")))
    feed = FeedFacts("milkings", ("visits",), known_until=moment("11:00"), quiet_after_s=5400, boxes=boxes)
    tables = Tables(farm=FarmFacts(feeds=(feed,)))

    assert links_of(moment("12:00"), setup.rules, tables, tables.farm).feeds_of == {"late-cow": frozenset()}
    assert links_of(moment("13:00"), setup.rules, tables, tables.farm).feeds_of == {"late-cow": frozenset({"milkings"})}


@pytest.mark.parametrize(("suspect", "held_back"), [("herd", True), ("cow", True), ("arm", False), ("unknown", False)])
def test_the_herd_covers_no_box_that_stands_out_beyond_it(suspect: str, held_back: bool) -> None:
    """A box whose own likeliest suspect is its own stands beside the herd's trouble."""
    box = replace(standing(2, "box-failures", "box:2"), suspect=suspect)

    assert covers(standing(1, "herd-failures", "herd"), box, ("herd-failures",), LINKS) is held_back


def test_a_box_covers_no_cow_that_failed_elsewhere() -> None:
    """Of a rule about failures: most of hers must have been at that box. Other rules ask which boxes she uses."""
    visits = table(
        "visits",
        """
        cow  start     box  outcome
        7    1d06:00   1    milked
        7    1d16:00   2    failed
        7    1d18:00   1    failed
        7    1d20:00   1    failed
        8    1d20:30   2    failed
        """,
    )
    links = links_of(moment("1d22:00"), setup_of(shipped_rules()).rules, Tables(visits=visits), FarmFacts())
    cow = standing(3, "cow-failures", "cow:7")

    assert links.failed_at == {"7": ["2", "1", "1"], "8": ["2"]}
    assert touches(standing(1, "box-failures", "box:1"), cow, links)
    assert not touches(standing(2, "box-failures", "box:2"), cow, links)
    assert touches(standing(2, "box-quiet", "box:2"), standing(4, "late-cow", "cow:7"), links)
