"""Sentinel's own troubles in words: a notice made in memory for the person who looks after the computer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sentinel.flow.language import Words, told
from sentinel.flow.settings.people import Person


@dataclass(frozen=True, slots=True)
class Trouble:
    """One trouble of sentinel's own: what kind, about what (a rule; "" if there is only one), since when.

    `facts` are what its sentences name: `why`, `free_mb`, `file`.
    """

    kind: str
    about: str = ""
    since: int = 0
    facts: Mapping[str, str | int] = field(default_factory=dict)

    @property
    def key(self) -> str:
        """What tells it from others: the same trouble is told once."""
        return f"{self.kind}:{self.about}" if self.about else self.kind


def headline_of(trouble: Trouble, words: Words) -> str:
    """A trouble in one short sentence, without a full stop."""
    match trouble.kind:
        case "disk-full":
            return words.say("The disk of the farm's computer is full")
        case "disk-low":
            return told(
                words, "The disk of the farm's computer is nearly full: {free} MB left", free=trouble.facts["free_mb"]
            )
        case "store":
            return words.say("Sentinel's store cannot be written")
        case "looks":
            return words.say("Sentinel cannot look at the exports")
        case "inbox":
            return words.say("The exports cannot be reached")
        case "file":
            return told(words, "The export {file} cannot be processed", file=trouble.facts["file"])
        case "clock":
            jumped = trouble.facts.get("by_min")
            if jumped is None:
                return words.say("The clock of the farm's computer is wrong")
            return told(words, "The clock of the farm's computer jumped by {n|minute|minutes}", n=int(jumped))
        case "rule":
            return told(words, "The rule {rule} cannot be decided", rule=trouble.about)
    return trouble.key


def trouble_notice(trouble: Trouble, at: int, words: Words) -> tuple[str, str]:
    """Title and text for a trouble that began."""
    since = words.time(trouble.since, at)
    lines = [f"{headline_of(trouble, words)}.", told(words, "Since {when}.", when=since), *_means(trouble, words)]
    why = trouble.facts.get("why")
    if why:
        lines.append(told(words, "It said: {why}", why=why))
    return headline_of(trouble, words), "\n".join(lines)


def _means(trouble: Trouble, words: Words) -> list[str]:
    """What a trouble means for the farm, and what to do."""
    match trouble.kind:
        case "disk-full" | "store":
            todo = words.say("Free some space on the disk. Sentinel then carries on by itself, and nothing is lost.")
            if trouble.kind == "store":
                todo = words.say("Is the disk all right, and may sentinel write into its folder?")
            return [_stands_still(words), todo]
        case "disk-low":
            return [
                words.say(
                    "Once it is full, nothing is read or judged and nobody is told anything. Free some space first."
                )
            ]
        case "looks":
            return [_stands_still(words), words.say("Sentinel tries again by itself. Its own log says more.")]
        case "inbox":
            todo = words.say("Is the herd computer on, and is its drive or share connected to the farm's computer?")
            back = words.say("Anything written in the meantime is read once it is back.")
            return [_stands_still(words), f"{todo} {back}"]
        case "file":
            return [words.say("What it contains is not known. The other exports are read and judged as usual.")]
        case "clock":
            wrong = words.say("It is behind what was already recorded. Until it is right, times may be wrong.")
            if "by_min" in trouble.facts:
                wrong = words.say("Times shown before, or from now on, may be wrong by that much.")
            return [wrong, words.say("Is the clock right now? Let the network set it.")]
        case "rule":
            return [words.say("Keep an eye on it yourself until then. The other rules are judged as usual.")]
    return []


def _stands_still(words: Words) -> str:
    return words.say("There are no new alerts or notices until this is over. Check the boxes yourself until then.")


def trouble_over(trouble: Trouble, at: int, words: Words) -> tuple[str, str]:
    """Title and text for a trouble that ended at `at`, for those who were told about it."""
    title = told(words, "Over: {what}", what=headline_of(trouble, words))
    since, until = words.time(trouble.since, at), words.time(at, at)
    return title, told(
        words, "It lasted from {since} until {until}. Sentinel carries on as before.", since=since, until=until
    )


def tell_order(people: tuple[Person, ...], at: int, zone: str) -> list[tuple[str, str]]:
    """Which channels to try, in order, to report a trouble: person and channel.

    First of those who look after the computer (the first of the list if nobody does), then of all others: one that
    works is wanted. Only of people who may be reached at `at`.
    """
    keepers = [one for one in people if one.computer] or list(people[:1])
    others = [one for one in people if one not in keepers]
    return [(one.name, channel) for one in (*keepers, *others) if one.now.cover(at, zone) for channel in one.channels]
