"""The words of a notice that only tests whether a channel works."""

from __future__ import annotations

from sentinel.flow.language import Words, told


def trial(farm: str, at: int, has_link: bool, words: Words) -> tuple[str, str]:
    """Title and text of a test notice, sent at `at`; `has_link`: a link that opens the page stands under it."""
    lines = [
        told(words, "Sent at {when} to check that notices arrive here. Nothing is wrong.", when=words.time(at, at))
    ]
    if has_link:
        lines.append(words.say("The link works until tomorrow. Open it to see whether the page opens here."))
    return told(words, "Test from {farm}", farm=farm), "\n".join(lines)
