"""How things are said: the places in a text, days and figures, a farm's words, the sentences of measures."""

from sentinel.flow.language.habits import HABITS, PLAIN, Habit
from sentinel.flow.language.places import PLACE, Figure, fill
from sentinel.flow.language.sentences import Later, Said, joined, rendered
from sentinel.flow.language.words import ENGLISH, FORMS, Words, english, shown_time, told

__all__ = [
    "ENGLISH",
    "FORMS",
    "HABITS",
    "PLACE",
    "PLAIN",
    "Figure",
    "Habit",
    "Later",
    "Said",
    "Words",
    "english",
    "fill",
    "joined",
    "rendered",
    "shown_time",
    "told",
]
