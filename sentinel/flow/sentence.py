"""What an alert says in one sentence: the rule's own, what makes it less certain, and what else it covers."""

from __future__ import annotations

from collections.abc import Sequence

from sentinel.flow.evaluation.doubts import doubt_words
from sentinel.flow.language import Words, told
from sentinel.flow.model import Verdict
from sentinel.flow.rules import Rule, say


def sentence(rule: Rule, verdict: Verdict, at: int, words: Words, others: Sequence[str] = ()) -> str:
    """The sentence about one subject as it reads at `at`; `others` are the feeds that stopped with its own."""
    text = say(rule, verdict, at, words)
    if verdict.facts.get("unread"):
        text = f"{text}; {doubt_words(verdict.facts['unread'], at, words)}"
    if verdict.facts.get("old_since") is not None:
        when = words.time(verdict.facts["old_since"], at)
        text = f"{text} ({told(words, 'as it was at {when}: no newer data has come', when=when)})"
    if others:
        text = f"{text}. {told(words, 'Also quiet: {feeds}', feeds=', '.join(others))}"
    return text
