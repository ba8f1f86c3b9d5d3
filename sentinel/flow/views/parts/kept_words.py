"""What the log says of the record itself: days that were sealed, bundles made, names replaced, what was let go."""

from __future__ import annotations

from sentinel.flow.language import Words, told
from sentinel.flow.model import Entry


def kept_words(entry: Entry, words: Words) -> str:
    """One entry about the record, in words."""
    body = {name: body for name, body in entry.body.items() if body is not None}
    match entry.kind:
        case "seal":
            places = ", ".join(map(str, body.get("to", ()))) or words.say("nobody")
            sealed = {"day": body.get("day"), "n": body.get("last"), "places": places}
            return told(words, "{day}, up to entry {n}; to {places}", **sealed)
        case "bundle":
            since, until = (_day(body.get(name), words) for name in ("since", "until"))
            kinds = ", ".join(map(str, body.get("kinds", ())))
            return told(words, "{since} to {until}: {kinds}", since=since, until=until, kinds=kinds)
        case "name-replaced":
            replaced = {"name": body.get("as"), "n": body.get("entries", 0)}
            return told(words, "a name by {name}, in {n|entry|entries}", **replaced)
        case "let-go":
            gone = ", ".join(f"{name} {n}" for name, n in sorted(dict(body.get("gone", {})).items()))
            return told(
                words, "what was older than {before}: {gone}", before=_day(body.get("before"), words), gone=gone
            )
    return told(words, "up to entry {n}", n=body.get("up_to"))


def _day(at: object, words: Words) -> str:
    return words.calendar(words.local(at).date()) if isinstance(at, int) else ""
