"""What notices say of who was told, and of who is owed the line that it is over."""

from __future__ import annotations

from sentinel.flow.model import Notice
from sentinel.flow.notices.history import History, Told, owed_the_end, told_of


def sent(*lines: str) -> list[Notice]:
    """Notices, written as `at person kind alert alert ...`."""
    words = [line.split() for line in lines]
    return [Notice(int(at), who, kind, "", "", "now", tuple(map(int, alerts))) for at, who, kind, *alerts in words]


def test_a_notice_that_names_several_of_the_alerts_is_found_once_and_in_order() -> None:
    """A worklist is no telling: it lists what stands anyway."""
    history = History(sent("10 Marit alert 1", "20 Joren digest 2 1", "30 Marit worklist 1", "40 Marit has-it 2"))

    assert [notice.at for notice in history.of((1, 2))] == [10, 20, 40]
    assert history.of((3,)) == []


def test_who_was_told_since_anybody_heard_that_it_is_over() -> None:
    """First when, last when, how often; who has it is no telling either."""
    notices = sent(
        "10 Joren alert 1", "20 Joren over 1", "30 Marit alert 1", "40 Marit reminder 1", "50 Joren has-it 1"
    )

    assert told_of(notices) == [Told("Marit", 30, 40, 2)]


def test_each_is_owed_the_end_until_they_have_heard_it() -> None:
    """One person's line is not another's."""
    notices = sent("10 Marit alert 1", "20 Joren handed-on 1", "30 Joren over 1")

    assert owed_the_end(notices) == {"Marit"}
