"""Asking at the terminal what a draft of a feed map is unsure about, one question at a time."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.questions import Drafted, Question
from sentinel.flow.model import Export

Say = Callable[[str], None]
Hear = Callable[[str], str]

HOW = "A number picks, Enter takes the first, s skips, q asks no more."
"""What can be typed at a question."""

SKIP, STOP = "s", "q"


def ask_all(exports: Sequence[Export], zone: str, say: Say, hear: Hear) -> Drafted:
    """Ask one question after the other until none is left; the draft with all that was answered.

    What is answered may settle other questions or bring new ones. `hear` gives what was typed, and raises EOFError
    at the end of what is typed, which stops the asking.
    """
    answers: dict[str, str] = {}
    skipped: set[str] = set()
    draft = drafted(exports, zone)
    say(HOW)
    while question := next((one for one in draft.questions if one.key not in skipped), None):
        try:
            answer = _asked(question, sum(one.key not in skipped for one in draft.questions), say, hear)
        except EOFError:
            break
        if answer == STOP:
            break
        if answer is None:
            skipped.add(question.key)
            continue
        answers[question.key] = answer
        draft = drafted(exports, zone, answers)
    return draft


def _asked(question: Question, left: int, say: Say, hear: Hear) -> str | None:
    """One answer; None for skipped, STOP to ask no more."""
    say("")
    say(f"{question.text}   ({left} {'question' if left == 1 else 'questions'} left)")
    for number, (_, shown) in enumerate(question.choices, 1):
        say(f"  {number}  {shown}")
    while True:
        typed = hear("> ").strip().lower()
        if typed == SKIP:
            return None
        if typed == STOP:
            return STOP
        number = 1 if typed == "" else int(typed) if typed.isascii() and typed.isdigit() else 0
        if 1 <= number <= len(question.choices):
            return question.choices[number - 1][0]
        say(f"Type a number from 1 to {len(question.choices)}, Enter, s or q.")
