"""Asking at the terminal what a draft of a feed map is unsure about, one question at a time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum

from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.questions import Drafted, Question
from sentinel.flow.feeds.durations import seconds_of
from sentinel.flow.model import Export

Say = Callable[[str], None]
Hear = Callable[[str], str]

HOW = "A number picks, Enter takes what has a star, b goes back one question, s skips, q asks no more."
"""What can be typed at a question."""


class _Move(StrEnum):
    """What can be typed instead of an answer."""

    SKIP, BACK, STOP = "s", "b", "q"


def ask_all(exports: Sequence[Export], zone: str, say: Say, hear: Hear, names: Sequence[str] = ()) -> Drafted:
    """Ask one question after the other until none is left; the draft with all that was answered.

    What is answered may settle other questions or bring new ones. `hear` gives what was typed, and raises EOFError
    at the end of what is typed, which stops the asking.
    """
    answers: dict[str, str] = {}
    skipped: set[str] = set()
    past: list[str] = []
    draft = drafted(exports, zone, names=names)
    say(HOW)
    while question := next((one for one in draft.questions if one.key not in skipped), None):
        try:
            answer = _asked(question, sum(one.key not in skipped for one in draft.questions), say, hear)
        except EOFError:
            break
        if answer is _Move.STOP:
            break
        if answer is _Move.BACK:
            if not past:
                say("This is the first question.")
                continue
            last = past.pop()
            answers.pop(last, None)
            skipped.discard(last)
        else:
            past.append(question.key)
            if answer is _Move.SKIP:
                skipped.add(question.key)
                continue
            answers[question.key] = answer
        draft = drafted(exports, zone, answers, names)
    return draft


def _asked(question: Question, left: int, say: Say, hear: Hear) -> str | _Move:
    """One answer, or how to go on without."""
    say("")
    say(f"{question.text}   ({left} {'question' if left == 1 else 'questions'} left)")
    for number, (_, shown) in enumerate(question.choices, 1):
        say(f" {'*' if number - 1 == question.likeliest else ' '}{number}  {shown}")
    more = "  or type the title of another column" if question.titles else ""
    more = "  or type a time, such as 2 h" if question.span else more
    if more:
        say(more)
    while True:
        typed = hear("> ").strip()
        if typed.lower() in list(_Move):
            return _Move(typed.lower())
        answer = _read(question, typed)
        if answer is not None:
            return answer
        say(f"Type a number from 1 to {len(question.choices)}, {_others(question)}.")


def _others(question: Question) -> str:
    also = ["a column's title"] if question.titles else ["a time such as 2 h"] if question.span else []
    return ", ".join([*also, *(["Enter"] if question.likeliest is not None else []), "b, s or q"])


def _read(question: Question, typed: str) -> str | None:
    """What somebody means who types this; None if it is no answer."""
    if not typed:
        return None if question.likeliest is None else question.choices[question.likeliest][0]
    if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(question.choices):
        return question.choices[int(typed) - 1][0]
    words = {shown.casefold(): one for one, shown in question.choices}
    words |= {one.casefold(): one for one in (*(one for one, _ in question.choices), *question.titles) if one}
    if typed.casefold() in words:
        return words[typed.casefold()]
    if question.span:
        try:
            seconds_of(typed)
        except ValueError:
            return None
        return typed
    return None
