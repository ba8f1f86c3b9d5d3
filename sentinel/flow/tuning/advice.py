"""Whether what people answered is enough to say that another bound is better; and if not, what is wanted.

Only what was answered counts: an alert that was never raised is one that nobody has looked at, so a bound that would
raise more is never recommended. One that raises less is, once all that it would drop and that was looked into was for
nothing, by so many answers that few of the others can have been for something.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sentinel.flow.tuning.episodes import Episode, together
from sentinel.flow.tuning.share import Share, answers_wanted
from sentinel.flow.tuning.sweep import Tried

MAY_BE_REAL = 0.2
"""At most so much of what a bound drops may have been for something, at the upper end of its interval (our choice, no
source)."""


@dataclass(frozen=True, slots=True)
class Advice:
    """The bound that is better by the answers there are, None if none surely is; and why, in a sentence."""

    better: Tried | None
    sentence: str


def dropped(now: Tried, other: Tried) -> tuple[Episode, ...]:
    """The episodes that the rule as it is raises and the other bound does not."""
    kept = set(other.kept)
    return tuple(one for one in now.kept if one not in kept)


def missed(now: Tried, other: Tried) -> tuple[Episode, ...]:
    """Of these the ones in which something was found."""
    return tuple(one for one in dropped(now, other) if one.label == "real")


def raises_more(now: Tried, other: Tried) -> bool:
    """Whether another bound raises an alert that the rule as it is does not."""
    return len({place for place, _ in together(other.raised, now.raised)}) < len(other.raised)


def advice(now: Tried, tried: Sequence[Tried]) -> Advice:
    """What the answers say of some other bounds beside the rule as it is."""
    wanted = answers_wanted(MAY_BE_REAL)
    if not now.real.whole:
        return Advice(
            None,
            f"Nobody has said of any alert of this rule whether something was found, so nothing is recommended; "
            f"{wanted} answers are wanted to the alerts that another bound would drop.",
        )
    fewer = [one for one in tried if len(one.raised) < len(now.raised) and not raises_more(now, one)]
    if not fewer:
        return Advice(
            None, "No bound that was tried raises less; nobody has looked at what one that raises more would tell."
        )
    harmless = [(one, _for_nothing(dropped(now, one))) for one in fewer if not missed(now, one)]
    if not harmless:
        return Advice(
            None, "Every bound that raises less would have missed something that was found; none is recommended."
        )
    sure = [one for one, for_nothing in harmless if Share(0, for_nothing).interval[1] <= MAY_BE_REAL]
    if sure:
        better = min(sure, key=lambda one: len(one.raised))
        gone = dropped(now, better)
        for_nothing = _for_nothing(gone)
        most = 100 * Share(0, for_nothing).interval[1]
        return Advice(
            better,
            f"{written(better)} would have dropped {len(gone)} of {len(now.kept)} alerts; all {for_nothing} of them "
            f"that people looked into were for nothing, so in at most {most:.0f} % of such something is found (95 %).",
        )
    most_answers, for_nothing = max(harmless, key=lambda one: one[1])
    return Advice(
        None,
        f"Too few answers to recommend anything: of what {written(most_answers)} would drop, {for_nothing} were "
        f"answered, all of them for nothing; {wanted} are wanted.",
    )


def _for_nothing(some: Sequence[Episode]) -> int:
    return sum(episode.label == "nothing found" for episode in some)


def written(one: Tried) -> str:
    """What was changed, in words."""
    return ", ".join(f"{key} {value}" for key, value in one.settings) or "the rule as it is"
