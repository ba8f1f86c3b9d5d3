"""The words of a notice that only tries whether a channel works."""

from __future__ import annotations

from sentinel.flow.language import Words, told


def trial(farm: str, at: int, has_link: bool, words: Words) -> tuple[str, str]:
    """Title and text of a test notice, sent at `at`; `has_link`: a link that opens the page stands under it."""
    lines = [
        told(
            words, "Sent at {when} to see whether notices arrive here. Nothing is the matter.", when=words.time(at, at)
        )
    ]
    if has_link:
        lines.append(words.say("The link opens the page until tomorrow, to see whether it opens here."))
    return told(words, "Test from {farm}", farm=farm), "\n".join(lines)
