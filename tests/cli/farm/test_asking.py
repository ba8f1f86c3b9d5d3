"""At a terminal `map` asks one question at a time, and writes the finished map."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from sentinel.cli.farm.asking import _asked, ask_all
from sentinel.flow.feeds.drafting.questions import Question
from sentinel.flow.model import Export

ROWS = "".join(f"{7 + n % 9};04.05.2026 0{n % 9}:{n + 10};{9 + n % 4},5\n" for n in range(40))
TEXT = "Cow;Start;Milk\n" + ROWS
EXPORT = Export("visits_20260504.csv", TEXT.encode(), 0)
PATIENCE_S = 60


def asked(*typed: str) -> tuple[str, list[str]]:
    """The draft after these answers, and all that was said."""
    said: list[str] = []
    answers: Iterator[str] = iter(typed)

    def hear(_: str) -> str:
        try:
            return next(answers)
        except StopIteration:
            raise EOFError from None

    return ask_all([EXPORT], "Europe/Dublin", said.append, hear).text, said


def test_enter_takes_the_likeliest_and_a_number_picks() -> None:
    """The unit first, with sample values; then the zone, the pace and the stamp."""
    text, said = asked("1", "", "2", "2", "2", "2")

    assert any("In which unit" in line and "9,5" in line for line in said)
    assert "milk_kg: Milk" in text
    assert "complete_until" in text
    assert said[0].startswith("A number picks")


def test_what_is_skipped_stays_a_question() -> None:
    """And the next one is asked."""
    text, said = asked(*"ssssssss")

    assert text.count("QUESTION") >= 2
    assert len([line for line in said if line.endswith("left)")]) >= 3


def test_b_goes_back_to_the_question_before() -> None:
    """What was answered there is open again; at the first question there is no way back."""
    text, said = asked("b", "1", "b", "3", "", "3", "")

    assert "This is the first question." in said
    asked_for = [line.partition(" ")[0] for line in said if line.endswith("left)")]
    assert asked_for[:5] == ["In", "In", "The", "In", "The"]
    assert "unit: lb" in text
    assert "pace: weekly" in text


def test_a_time_can_be_typed_as_the_pace_and_another_columns_title_as_a_column() -> None:
    """In whatever capitals; the choices of a pace always stand in the same order."""
    text, said = asked("1", "1", "2 h", "")
    assert "every: 2 h" in text and "pace:" not in text
    assert [line.strip(" *") for line in said if line.strip(" *")[3:] in ("hourly", "daily", "weekly", "monthly")] == [
        "1  hourly", "2  daily", "3  weekly", "4  monthly",
    ]  # fmt: skip
    question = Question("column:visits.milk_kg", "Which?", (("A", "A"), ("-", "none")), titles=("Milk yield",))
    typed = iter(("milk", "milk YIELD"))
    assert _asked(question, 1, said.append, lambda _: next(typed)) == "Milk yield"


def test_a_word_that_nothing_is_known_of_is_not_taken_for_nothing_by_enter() -> None:
    """Its rows are left out only if somebody says so."""
    question = Question("word:x:Y", "What?", (("milked", "milked"), ("leave_out", "nothing")), None)
    assert _asked(question, 1, print, lambda _: "Milked") == "milked"
    typed, said = iter(("", "2")), []
    assert _asked(question, 1, said.append, lambda _: next(typed)) == "leave_out"
    assert said[-1] == "Type a number from 1 to 2, b, s or q."


def test_what_is_no_answer_is_asked_again_and_q_asks_no_more() -> None:
    """A number that is no choice, a word, a digit of another script."""
    _, said = asked("99", "stones", "²", "q")

    assert len([line for line in said if line.startswith("Type a number")]) == 3
    assert len([line for line in said if line.endswith("left)")]) == 1


def _screen(arguments: list[str], typed: list[tuple[str, str]], folder: Path) -> str:
    """What a terminal showed while these answers were typed, each once its text had appeared."""
    master, slave = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "sentinel", *arguments],
        stdin=slave,
        stdout=slave,
        stderr=slave,
        cwd=folder,
        env={**os.environ, "TERM": "dumb", "COLUMNS": "160"},
    )
    os.close(slave)
    shown, seen = "", 0
    try:
        while True:
            if typed and typed[0][0] in shown[seen:]:
                seen = len(shown)
                os.write(master, typed.pop(0)[1].encode() + b"\n")
            ready, _, _ = select.select([master], [], [], PATIENCE_S)
            if not ready:
                break
            try:
                piece = os.read(master, 65536)
            except OSError:  # the other end was closed
                break
            if not piece:
                break
            shown += piece.decode(errors="replace")
    finally:
        process.wait(PATIENCE_S)
        os.close(master)
    assert typed == [], shown
    return shown


@pytest.mark.timeout(180)
def test_at_a_terminal_the_finished_map_is_written_and_checked(farm: Path, tmp_path: Path) -> None:
    """Answered to the end, then Enter for the usual place; a pipe or `--no-ask` only shows the draft."""
    sample = tmp_path / "visits_20260504.csv"
    sample.write_text(TEXT)
    typed = [("Answer now? [Y/n]", ""), ("In which unit", "1"), ("Which is it?", ""), ("kind come?", "1")]
    shown = _screen(
        ["map", str(sample), "--farm", str(farm)],
        [*typed, ("The name holds a stamp", ""), ("Write the map into", "")],
        tmp_path,
    )

    assert "All good: 2 feed maps" in shown, shown
    written = (farm / "feeds" / "visits.yaml").read_text()
    assert "QUESTION" not in written
    assert "milk_kg: Milk" in written


@pytest.mark.timeout(120)
def test_a_terminal_that_wants_no_questions_gets_none(farm: Path, tmp_path: Path) -> None:
    """The draft is shown as in a pipe."""
    sample = tmp_path / "visits_20260504.csv"
    sample.write_text(TEXT)
    shown = _screen(["map", str(sample), "--farm", str(farm), "--no-ask"], [], tmp_path)

    assert "Answer now?" not in shown
    assert "feed: visits" in shown
