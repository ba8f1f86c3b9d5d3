"""One trouble, one incident: what belongs together, what it is called, and what one answer answers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from whole.whole_farm import setup_of, shipped_rules

from sentinel.edges.locales import words_in
from sentinel.flow.alerts.incidents import SUSPECT_OF_FINDING, Incident, answered_with, incidents, joined, title_of
from sentinel.flow.language import english
from sentinel.flow.model import DAY_S, HOUR_S, Alert, Answer

AT = 1_000_000


def alert(number: int, rule: str, subject: str, text: str = "", **more: Any) -> Alert:
    """An alert that stands, raised so many seconds after the first as its number says."""
    at = more.pop("at", AT + number)
    return Alert(number, rule, subject, at, at, more.pop("urgency", "now"), text or f"{rule} {subject}", **more)


def together(*alerts: Alert) -> dict[int, int]:
    """The incident of each alert after one look at them, all new."""
    by_pair = {(one.rule, one.subject): one for one in alerts}
    by_pair |= {(one.rule, one.subject): one for one in joined(by_pair)}
    return {one.id: one.incident for one in by_pair.values()}


def test_at_a_box_what_has_the_same_likeliest_suspect_is_one_incident() -> None:
    """Failures and an offset that both point to the arm; what points to the optics is another trouble."""
    assert together(
        alert(1, "box-failures", "box:2", suspect="arm"),
        alert(2, "arm-offset", "box:2", suspect="arm"),
        alert(3, "slow-attach", "box:2", suspect="optics"),
        alert(4, "box-failures", "box:3", suspect="arm"),
        alert(5, "box-quiet", "box:2"),
    ) == {1: 1, 2: 1, 3: 3, 4: 4, 5: 5}


def test_a_cows_signs_of_one_day_are_one_incident() -> None:
    """Her quarters and her yield within a day; what comes two days later is news."""
    assert together(
        alert(1, "quarter-conductivity", "quarter:217/LF"),
        alert(2, "yield-drop", "cow:217", at=AT + DAY_S),
        alert(3, "quarter-conductivity", "quarter:9/LF"),
        alert(4, "late-cow", "cow:217", at=AT + 3 * DAY_S),
    ) == {1: 1, 2: 1, 3: 3, 4: 4}


def test_what_is_covered_belongs_to_the_incident_of_its_cause_whichever_came_first() -> None:
    """Cows late for a box that stands still, and the box for the feed that stopped; they leave nobody else behind."""
    assert together(
        alert(1, "late-cow", "cow:7", covered_by=("box-quiet box:2",)),
        alert(2, "yield-drop", "cow:7"),
        alert(3, "box-quiet", "box:2", covered_by=("feed-quiet feed:visits",)),
        alert(4, "feed-quiet", "feed:visits"),
    ) == {1: 4, 2: 2, 3: 4, 4: 4}


def test_a_feeds_files_with_rows_left_out_are_one_incident() -> None:
    """However many days lie between them; another feed's are another's."""
    assert together(
        alert(1, "rows-set-aside", "unread:visits/a"),
        alert(2, "rows-set-aside", "unread:visits/b", at=AT + 5 * DAY_S),
        alert(3, "rows-set-aside", "unread:tank/a"),
        alert(4, "feed-quiet", "feed:visits"),
    ) == {1: 1, 2: 1, 3: 3, 4: 4}


def test_a_sign_of_the_udder_does_not_vanish_in_the_incident_of_a_box() -> None:
    """A cow that fails at a bad box belongs to the box; her quarter, found ill that day, is a trouble of its own."""
    failures = alert(2, "cow-failures", "cow:7", covered_by=("box-failures box:2",))
    assert together(
        alert(1, "box-failures", "box:2", suspect="arm"), failures, alert(3, "quarter-conductivity", "quarter:7/RR")
    ) == {1: 1, 2: 1, 3: 3}


def test_an_incident_keeps_its_number_while_its_founder_comes_and_goes() -> None:
    """The failures end, the offset stands on; slow attaching joins what is left, and the failures come again to it."""
    offset = alert(2, "arm-offset", "box:2", suspect="arm", incident=1)
    founder = alert(1, "box-failures", "box:2", suspect="arm", incident=1, over_at=AT + 90)
    slow = alert(3, "slow-attach", "box:2", suspect="arm")
    assert together(founder, offset, slow) == {1: 1, 2: 1, 3: 1}
    again = replace(founder, over_at=None, came_at=AT + 200, incident=-1)
    assert together(again, offset, slow) == {1: 1, 2: 1, 3: 1}


def test_one_that_comes_again_alone_goes_back_to_its_incident() -> None:
    """The number by which people know the trouble stays, also of one that had joined it."""
    assert together(
        alert(1, "box-failures", "box:2", suspect="arm", incident=1, over_at=AT + 90),
        alert(2, "arm-offset", "box:2", suspect="arm", incident=-1, came_at=AT + HOUR_S),
    ) == {1: 1, 2: 1}


def test_the_one_that_says_most_comes_first() -> None:
    """What stands before what is over, causes before what they cover, pressing before the rest."""
    [incident] = incidents(
        [
            alert(1, "arm-offset", "box:2", incident=1, urgency="round"),
            alert(2, "cow-failures", "cow:7", incident=1, covered_by=("box-failures box:2",)),
            alert(3, "box-failures", "box:2", incident=1),
            alert(4, "slow-attach", "box:2", incident=1, over_at=AT + 9),
        ]
    )

    assert [one.id for one in incident.alerts] == [3, 1, 2, 4]


@pytest.mark.parametrize(
    ("finding", "suspects", "answered"),
    [
        ("arm out of line", ("arm", "arm"), True),
        ("optics dirty", ("arm", "arm"), False),  # not what the other one points to: it is still to be looked at
        ("optics dirty", ("arm", "optics"), True),
        ("nothing found", ("arm", "arm"), True),
        ("nothing found", ("arm", "optics"), False),
        ("", ("arm", "arm"), True),
    ],
)
def test_an_answer_answers_what_has_the_suspect_that_it_names(
    finding: str, suspects: tuple[str, str], answered: bool
) -> None:
    """By the finding, or by the alert's own suspect if the finding names none."""
    first, other = (
        alert(n, rule, "box:2", suspect=suspect, incident=1)
        for n, rule, suspect in zip((1, 2), ("box-failures", "arm-offset"), suspects, strict=True)
    )

    assert answered_with(Answer(1, AT + 90, "Marit", finding), first, other) is answered


@pytest.mark.parametrize(
    ("finding", "urgency", "has_it"),
    [("arm out of line", "now", "Marit"), ("optics dirty", "now", ""), ("arm out of line", "round", "")],
)
def test_what_joins_after_the_answer_is_answered_if_it_is_the_same_trouble(
    finding: str, urgency: str, has_it: str
) -> None:
    """The offset of the arm that Marit has in hand rings nobody; not so if she found something else, or it is worse."""
    failures = alert(1, "box-failures", "box:2", suspect="arm", incident=1, urgency=urgency)
    failures = replace(failures, answered_at=AT + 30, answered_by="Marit", finding=finding)
    offset = alert(2, "arm-offset", "box:2", suspect="arm", at=AT + 60)
    [offset] = joined({("box-failures", "box:2"): failures, ("arm-offset", "box:2"): offset})

    assert (offset.incident, offset.answered_by) == (1, has_it)


def test_whoever_has_been_to_see_a_cow_has_answered_all_her_signs_but_not_later_ones_nor_other_incidents() -> None:
    """One visit to the cow is one answer; a sign that came after it is news, and so is what a cause holds back."""
    quarter = alert(1, "quarter-conductivity", "quarter:7/LF", incident=1)
    answer = Answer(1, AT + 90, "Marit", "clots or flakes")
    others = {
        "her other quarter": alert(2, "quarter-conductivity", "quarter:7/RR", incident=1),
        "one after the visit": alert(3, "yield-drop", "cow:7", incident=1, at=AT + 91),
        "an older trouble": alert(4, "cow-failures", "cow:7", incident=4),
        "held back": alert(5, "late-cow", "cow:7", incident=1, covered_by=("box-quiet box:2",)),
        "over": alert(6, "yield-drop", "cow:7", incident=1, over_at=AT + 50),
    }

    assert [name for name, other in others.items() if answered_with(answer, quarter, other)] == ["her other quarter"]


def test_an_incident_is_called_by_its_trouble() -> None:
    """A box by its suspect, as a question; one with its cows; a cow with several signs; else by its sentence."""

    def title(*alerts: Alert) -> str:
        return title_of(Incident(1, alerts), english("UTC"))

    late = [alert(n, "late-cow", f"cow:{n}", covered_by=("box-quiet box:2",)) for n in (7, 8)]
    assert title(alert(1, "box-failures", "box:2", suspect="arm")) == "Box 2: arm out of line?"
    assert title(alert(1, "box-failures", "box:2", suspect="unknown", text="Box 2: 5 of 18")) == "Box 2: 5 of 18"
    assert (
        title(alert(1, "box-quiet", "box:2", "Box 2: no visit for 50 min, 8 expected"), *late)
        == "Box 2: no visit for 50 min; 2 cows with it"
    )
    signs = [alert(n, "quarter-conductivity", f"quarter:7/{q}") for n, q in ((1, "LF"), (2, "RR"))]
    assert title(*signs) == "Cow 7: 2 signs at once"
    assert title(signs[0]) == "quarter-conductivity quarter:7/LF"
    assert title_of(Incident(1, (signs[0], signs[1])), words_in("de", ",", "UTC")) == "Kuh 7: 2 Anzeichen zugleich"


def test_every_finding_that_names_a_suspect_can_be_given() -> None:
    """It is one of the answers that the rules which ship offer: a reworded one would answer nothing any more."""
    offered = {finding for rule in setup_of(shipped_rules()).rules.values() for finding in rule.findings}

    assert set(SUSPECT_OF_FINDING) - offered == set()
