"""What people said of the alerts that were really raised."""

from __future__ import annotations

from text_tables import moment

from sentinel.flow.alerts.chain import Logged
from sentinel.flow.model import Alert, Entry
from sentinel.flow.tuning.episodes import Episode, episodes, stand_together, together


def alert(number: int, cow: str = "7") -> Alert:
    """A cow that is late from six to nine."""
    return Alert(number, "late-cow", f"cow:{cow}", moment("06:00"), moment("05:00"), "now", "", over_at=moment("09:00"))


def answered(number: int, at: str, finding: str) -> Logged:
    """An answer in the log."""
    return Logged(1, Entry(moment(at), "answer", number, body={"finding": finding}), "", "")


def test_an_answer_is_real_for_nothing_or_only_seen() -> None:
    """What was found once stays found, whatever was said before or after; nobody's word is no word."""
    log = [
        answered(1, "06:10", "nothing found"),
        answered(1, "07:00", "lame"),
        answered(1, "08:00", "nothing found"),
        answered(2, "06:10", ""),
        answered(2, "06:20", "nothing found"),
        answered(3, "06:10", ""),
    ]
    found = episodes([alert(n) for n in (1, 2, 3, 4)], log)

    assert [one.label for one in found] == ["real", "nothing found", "seen", ""]
    assert [one.found_at for one in found] == [moment("07:00"), None, None, None]


def test_what_stands_together_is_of_one_subject_and_one_moment() -> None:
    """The end is no part of it, and one that stands has none."""
    early = Episode("cow:7", moment("06:00"), moment("07:00"))
    late = Episode("cow:7", moment("07:00"), None)
    later = Episode("cow:7", moment("09:00"), moment("10:00"))
    other = Episode("cow:8", moment("06:00"), None)

    assert not stand_together(early, late)
    assert stand_together(late, later)
    assert together([early, late], [later, other, late]) == [(1, 0), (1, 2)]
