"""A day's seal: what it says, how it is kept as a line, and what it finds that the chain alone does not."""

from __future__ import annotations

from datetime import date

import pytest

from sentinel.flow.alerts.chain import START, Logged, chained, first_break
from sentinel.flow.language import english
from sentinel.flow.model import Entry
from sentinel.flow.record.seal import (
    Seal,
    broken_seals,
    day_bounds,
    days_due,
    read_seals,
    seal_entry,
    seal_line,
    seal_notice,
    seal_of,
)

DAY = date(2026, 5, 4)
ZONE = "Europe/Berlin"


def log(noon: str = "raised") -> list[Logged]:
    """Four entries of three days."""
    begin, end = day_bounds(DAY, ZONE)
    return chained(
        [Entry(begin - 1, "start"), Entry(begin, noon), Entry(end - 1, "answer", person="Marit"), Entry(end, "stop")],
        START,
        0,
    )


def sealed(entries: list[Logged]) -> Seal:
    """The seal of the day."""
    begin, end = day_bounds(DAY, ZONE)
    return seal_of(
        "Tinfield",
        DAY,
        [one for one in entries if begin <= one.entry.at < end],
        [one for one in entries if one.entry.at < end][-1],
    )


def found(seal: Seal, entries: list[Logged]) -> list[str]:
    """What the seal finds in a log."""
    by_number = {one.seq: one.hash for one in entries}
    return broken_seals([seal], by_number.get, max(by_number, default=0))


def test_a_seal_counts_the_day_on_the_farms_clock() -> None:
    """From midnight to midnight there, the head being that of the last entry before the day's end."""
    seal = sealed(log())

    assert (seal.last, seal.entries, dict(seal.counts)) == (3, 2, {"raised": 1, "answer": 1})
    assert seal.head == log()[2].hash
    begin, end = day_bounds(date(2026, 3, 29), ZONE)
    assert end - begin == 23 * 3600  # the day on which the clock is put forward


def test_a_seal_is_kept_as_a_line_and_read_again() -> None:
    """Whatever is no seal is named by its line."""
    seal = sealed(log())
    text = f"{seal_line(seal)}\n\n{seal_line(seal)[:-9]}\n" + '{"farm": 1}\n'

    assert read_seals(text, "seals.jsonl")[0] == [seal]
    assert [str(one).split(": ")[0] for one in read_seals(text, "seals.jsonl")[1]] == ["seals.jsonl:3", "seals.jsonl:4"]


@pytest.mark.parametrize(
    ("entries", "said"),
    [(log(), []), (log()[:2], ["its end was cut off"]), (log("again"), ["made anew from there"]), ([], ["cut off"])],
)
def test_a_seal_finds_what_the_chain_cannot(entries: list[Logged], said: list[str]) -> None:
    """A log made wholly anew, or cut at its end, is a whole chain; the seal that lies elsewhere does not fit it."""
    assert first_break(entries) == ""
    assert len(found(sealed(log()), entries)) == len(said)
    assert all(text in one for text, one in zip(said, found(sealed(log()), entries), strict=True))


def test_an_empty_log_can_be_sealed() -> None:
    """A seal before anything was logged fits any log."""
    seal = seal_of("Tinfield", DAY, [], None)

    assert (seal.last, seal.head) == (0, START)
    assert found(seal, log()) == []


@pytest.mark.parametrize(
    ("last", "due"),
    [
        (None, ["2026-05-03"]),
        ("2026-05-03", []),
        ("2026-05-01", ["2026-05-02", "2026-05-03"]),
        ("2036-01-01", ["2026-05-03"]),
    ],
)
def test_days_that_are_over_are_due_once(last: str | None, due: list[str]) -> None:
    """Those that were missed follow; a day ahead, sealed by a wrong clock, holds nothing up; a long gap is bounded."""
    assert [day.isoformat() for day in days_due(last, DAY)] == due
    assert len(days_due("2020-01-01", DAY)) == 31


def test_a_seal_as_a_notice_has_the_line_that_is_kept() -> None:
    """The counts in words, and the line to the letter; it can wait."""
    seal = sealed(log())
    notice = seal_notice(seal, 0, "Marit", english(ZONE))

    assert read_seals(notice.body.splitlines()[-1], "notice") == ([seal], [])
    assert "raised 1, answer 1" in notice.body and notice.urgency == "round"
    assert seal_entry(seal, 0, ["Marit"]).body["head"] == seal.head
