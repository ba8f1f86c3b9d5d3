"""The words of the last notice: the store is damaged or gone, and nothing is being watched."""

from __future__ import annotations

from sentinel.flow.language import Words, told


def ended(farm: str, at: int, words: Words) -> tuple[str, str]:
    """Title and text of what people are told at `at`, when nothing more can be decided."""
    lines = [
        told(
            words,
            "The store on the farm's computer is damaged or gone: since {when} nothing is watched, and no alert comes.",
            when=words.time(at, at),
        ),
        words.say("Check boxes and cows as if you had no alerts until a backup is restored (sentinel restore)."),
    ]
    return told(words, "{farm}: nothing is being watched", farm=farm), "\n".join(lines)
