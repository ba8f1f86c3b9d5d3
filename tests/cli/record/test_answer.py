"""`answer`: who found what, on the alert and in the log; what is misspelt is refused with what would be right."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel

from sentinel.runtime.farm_folder import lock


def test_an_answer_with_a_misspelt_finding_gets_a_suggestion(told: Path) -> None:
    """Wrong finding, alert and person are each refused with what would be right, and nothing is recorded."""
    wrong_finding = sentinel("answer", 1, "--by", "Operator", "--finding", "arm out of lin", "--farm", told)
    wrong_alert = sentinel("answer", 9, "--by", "Operator", "--farm", told)
    wrong_person = sentinel("answer", 1, "--by", "Operater", "--farm", told)

    assert (wrong_finding.code, wrong_alert.code, wrong_person.code) == (2, 2, 2)
    assert 'did you mean "arm out of line"?' in wrong_finding.words
    assert "optics dirty" in wrong_finding.words
    assert wrong_alert.err.strip() == "there is no alert 9; open now: 1"
    assert 'did you mean "Operator"?' in wrong_person.words
    assert sentinel("history", told, "--kind", "answer", "--json").records == []


def test_an_answer_is_on_the_alert_and_in_the_log(told: Path) -> None:
    """Who, what was found, the note; the person's name as people.yaml writes it."""
    said = sentinel(
        "answer", 1, "--by", "operator", "--finding", "arm out of line", "--note", "set back", "--farm", told
    )

    assert (said.code, said.out) == (0, "Answered 1: Box 2: 6 failures to attach in 6 h (6 visits).\n")
    alert = sentinel("alerts", told, "--json").records[0]
    assert (alert["answered_by"], alert["finding"], alert["note"]) == ("Operator", "arm out of line", "set back")
    entry = sentinel("history", told, "--kind", "answer", "--json").records[0]
    assert (entry["person"], entry["alert"], entry["body"]["finding"]) == ("Operator", 1, "arm out of line")


def test_while_the_service_works_an_answer_is_left_for_it(told: Path) -> None:
    """Another sentinel holds the folder: `once` is refused in a sentence, `answer` leaves word and says so."""
    taken = lock(told)
    refused = sentinel("once", told)
    left = sentinel("answer", 1, "--by", "Operator", "--farm", told)
    taken.release()

    assert (refused.code, "another sentinel is working" in refused.err) == (2, True)
    assert (left.code, "running service picks it up" in left.words) == (0, True)
    assert sentinel("once", told).code == 0
    assert len(sentinel("history", told, "--kind", "answer", "--json").records) == 1
