"""Why an alert came or did not, in the farm's words: headings, each with its lines, for the terminal and the page."""

from __future__ import annotations

from collections.abc import Iterator

from sentinel.flow.language import Words, told
from sentinel.flow.model import State
from sentinel.flow.reasons import in_words
from sentinel.flow.record.evidence import InForce, Seen
from sentinel.flow.record.rule_version import RuleVersion
from sentinel.flow.record.story import Had, NotTold, Sent, Story
from sentinel.flow.record.why import RowShown, Why
from sentinel.flow.rules import format_quantity
from sentinel.flow.rules.quantities import UNITS
from sentinel.flow.subjects import subject_words

ROWS_SHOWN = 8
"""So many of the rows are said, the newest; the others are in the JSON."""

VALUES_SHOWN = 8
"""So many values of a row are said."""

Section = tuple[str, list[str]]


def why_page(why: Why, words: Words) -> list[Section]:
    """Everything that is known of why, each part under its heading."""
    sections = [
        (words.say("What the rule saw"), list(_saw(why, words))),
        (words.say("The threshold that applied"), list(_threshold(why, words))),
        (words.say("The rows it rested on"), list(_rows(why, words))),
    ]
    if why.story is not None:
        sections += [
            (words.say("What held it back"), list(_held_back(why.story, why.at, words))),
            (words.say("Who was told"), list(_told(why, why.story, words))),
            (words.say("Who had it, and from when"), list(_had(why.story, why.at, words))),
        ]
    return [(heading, lines) for heading, lines in sections if lines]


def _figure(value: float | None, unit: str, words: Words) -> str:
    if value is None:
        return words.say("not known")
    return format_quantity(value, unit, words) if unit in UNITS else f"{words.number(value, 3)} {unit}".strip()


# --- what it saw -----------------------------------------------------------------------------------------


def _saw(why: Why, words: Words) -> Iterator[str]:
    """The answer, whether the value comes out again, up to when the feeds were known, and the readings."""
    seen, at = why.seen, why.at
    if seen is None:
        yield told(words, "It cannot be put together again: {why}.", why=in_words(why.cannot, words))
        return
    yield _answer(seen, words)
    if why.stood is not None:
        when = words.time(why.stood.came_at, at)
        yield told(words, "Alert {n} stood then, which had come at {when}.", n=why.stood.alert, when=when)
    elif why.alert is None:
        yield words.say("No alert of this rule stood on it then.")
    if why.agrees is False:
        logged = _figure(why.told_value, seen.unit, words)
        yield told(words, "The log has {logged}: what is worked out again differs.", logged=logged)
    elif why.agrees:
        yield words.say("Worked out again from the rows known then, the value is the one in the log.")
    if seen.old_since is not None:
        when = words.time(seen.old_since, at)
        yield told(words, "The data had stopped at {when}; what rests on old data rings nobody.", when=when)
    for feed in seen.feeds:
        if feed.known_until is None:
            yield told(words, "The exports of {feed} had given nothing yet.", feed=feed.feed)
        else:
            until = words.time(feed.known_until, at)
            quiet = " " + words.say("They had stopped coming.") if feed.quiet_since is not None else ""
            yield told(words, "The exports of {feed} told up to {when}.", feed=feed.feed, when=until) + quiet
    if seen.readings:
        yield from _readings(seen, at, words)
    if seen.others:
        others = ", ".join(subject_words(one, words, "short") for one in seen.others)
        yield told(words, "The rule knew then: {others}.", others=others)


def _answer(seen: Seen, words: Words) -> str:
    """One of the three answers, or that it was not looked at."""
    value = _figure(seen.value, seen.unit, words)
    match seen.state:
        case State.HOLDS.value:
            return told(words, "The rule held, with {value}.", value=value)
        case State.CLEAR.value if seen.value is not None:
            return told(words, "All was well by this rule, with {value}.", value=value)
        case State.CLEAR.value:
            return words.say("All was well by this rule.")
        case State.UNKNOWN.value:
            return told(words, "It could not be told: {why}.", why=_why(seen.why, words))
    return told(words, "The rule did not look at it: {why}.", why=_why(seen.why, words))


def _why(why: str, words: Words) -> str:
    """Why it was unknown or not looked at; what a measure says of its own readings is said as it says it."""
    match why:
        case "its feed has not given anything yet":
            return words.say("its feed has not given anything yet")
        case "how a visit ended could not be read":
            return words.say("how a visit ended could not be read")
        case "the export has not come that far":
            return words.say("the export has not come that far")
        case "unheard":
            return words.say("nothing about it was known to this rule then")
        case "left-out":
            return words.say("the rule is not for it (see what was known of it, and its where)")
    return words.say(why)


def _readings(seen: Seen, at: int, words: Words) -> Iterator[str]:
    """The last readings, or from when an elapsed value counted."""
    if seen.elapsed:
        since = words.time(seen.readings[-1].at, at)
        yield told(words, "It counts from {when}.", when=since)
        return
    shown = [f"{words.time(one.at, at)} {_figure(one.value, seen.unit, words)}" for one in seen.readings]
    yield told(words, "Readings: {readings}.", readings="; ".join(shown))


# --- the threshold ---------------------------------------------------------------------------------------


def _threshold(why: Why, words: Words) -> Iterator[str]:
    """The bounds, whose they are, the version of the rule and the edit that brought it."""
    seen, version = why.seen, why.version
    if seen is not None and seen.in_force is not None:
        yield from _bounds(seen, seen.in_force, words)
    if version is not None:
        yield from _version(version, why.at, words)


def _bounds(seen: Seen, force: InForce, words: Words) -> Iterator[str]:
    """The bounds, those of a class with whom it is for, and what was known of the subject."""
    raises, now, clears = (_figure(one, seen.unit, words) for one in (force.raises, force.now, force.clears))
    if force.raises is not None:
        yield told(
            words, "An alert comes above {figure}." if force.over else "An alert comes below {figure}.", figure=raises
        )
    if force.now is not None:
        yield told(
            words, "It cannot wait above {figure}." if force.over else "It cannot wait below {figure}.", figure=now
        )
    elif force.urgency == "now":
        yield words.say("It cannot wait from there on.")
    if force.clears is not None:
        yield told(
            words, "It is over at {figure} or less." if force.over else "It is over at {figure} or more.", figure=clears
        )
    if force.lasting_s:
        yield told(words, "It must last for {span} before.", span=format_quantity(force.lasting_s, "s", words))
    if force.number:
        where = "; ".join(f"{name}: {', '.join(values)}" for name, values in force.where)
        yield told(words, "These are the bounds of the rule's class {n} ({where}).", n=force.number, where=where)
    if force.says:
        yield told(words, "Known of it: {facts}.", facts="; ".join(f"{name}: {value}" for name, value in force.says))


def _version(version: RuleVersion, at: int, words: Words) -> Iterator[str]:
    """Which version it was, and the edit that brought it."""
    when = words.time(version.since, at)
    yield told(
        words, "Rule as in {place}, version {version}, since {when}.", place=version.place, version=version.version,
        when=when,
    )  # fmt: skip
    if version.entry is None:
        yield words.say("It stood so from the beginning.")
        return
    changes = "; ".join(version.changes) or words.say("the settings were changed")
    yield told(words, "Entry {n} of the log brought it: {changes}.", n=version.entry, changes=changes)
    if version.person:
        yield told(words, "Changed by {person}.", person=version.person)
    if version.reason:
        yield told(words, "Reason given: {why}", why=version.reason)


# --- the rows --------------------------------------------------------------------------------------------


def _rows(why: Why, words: Words) -> Iterator[str]:
    """The newest of the rows, each with its file and line, and how many others told what is usual."""
    left_out = len(why.rows) - ROWS_SHOWN
    if left_out > 0:
        yield told(words, "{n|earlier row|earlier rows}, which `sentinel why --json` lists.", n=left_out)
    for row in why.rows[-ROWS_SHOWN:]:
        yield _row(row, why.at, words)
    for one in why.usual:
        figures = {"table": one.table, "n": one.rows, "since": words.time(one.begin, why.at)}
        yield told(words, "What is usual was told by {n|row|rows} of {table} since {since}.", **figures)


def _row(row: RowShown, at: int, words: Words) -> str:
    """A row: when, where it stands, and what it says."""
    shown = [f"{name} {_cell(value, words)}" for name, value in row.says if value != row.at]
    says = ", ".join([*shown[:VALUES_SHOWN], *["…"] * (len(shown) > VALUES_SHOWN)])
    places = [
        told(words, "{file}, line {n}", file=file, n=line) if line else file for file, line in dict.fromkeys(row.stands)
    ]
    where = "; ".join(places) or words.say("said by a person, in the log")
    return f"{words.time(row.at, at)} {row.table} ({where}): {says}"


def _cell(value: object, words: Words) -> str:
    return words.number(value, 2) if isinstance(value, float) else str(value)


# --- what became of it -----------------------------------------------------------------------------------


def _held_back(story: Story, at: int, words: Words) -> Iterator[str]:
    """What held it back, from when to when."""
    for one in story.held_back:
        causes = "; ".join(one.by)
        since = words.time(one.since, at)
        if one.until is None:
            yield told(words, "From {since} on by {causes}.", since=since, causes=causes)
        else:
            until = words.time(one.until, at)
            yield told(words, "From {since} to {until} by {causes}.", since=since, until=until, causes=causes)
    if not story.held_back:
        yield words.say("Nothing.")


def _told(why: Why, story: Story, words: Words) -> Iterator[str]:
    """Each notice with what became of it by each channel, and of the others why they were not told."""
    yield words.say("A phone rang for it.") if story.rang else words.say("No phone rang for it.")
    for one in story.sent:
        yield _sent(one, why.at, words)
    urgency = why.alert.urgency if why.alert is not None else ""
    if urgency in ("round", "log") and not story.rang:
        yield words.say(
            "It could wait, so it was for the list of a round." if urgency == "round" else "It is only kept."
        )
        return
    for person in story.not_told:
        yield _not_told(person, why.at, words)


def _sent(one: Sent, at: int, words: Words) -> str:
    """A notice by one channel, and what came of it."""
    notice, kind = one.notice, words.say(one.notice.kind)
    head = f"{words.time(notice.at, at)} {notice.person}: {kind}, {notice.title} ({_number(one, words)})"
    ended = "" if one.at is None else words.time(one.at, at)
    match one.outcome:
        case "delivered":
            end = told(words, "delivered by {channel} at {when}, try {n}", channel=one.channel, when=ended, n=one.tries)
        case "gave_up":
            why = in_words(one.detail, words)
            end = told(words, "given up by {channel} at {when}: {why}", channel=one.channel, when=ended, why=why)
        case "waiting":
            end = told(words, "still waiting for {channel}, tried {n|time|times}", channel=one.channel, n=one.tries)
        case _:
            end = words.say("kept here, sent by no channel")
    return f"{head}: {end}"


def _number(one: Sent, words: Words) -> str:
    number = told(words, "notice {n}", n=one.notice.id)
    return number if one.names else f"{number}, {words.say('about other alerts with the same cause')}"


def _not_told(one: NotTold, at: int, words: Words) -> str:
    """Why somebody got no push of it when it came."""
    match one.why:
        case "no-channel":
            return told(words, "{person} has no channel.", person=one.person)
        case "hours" if one.from_at is None:
            return told(words, "{person} takes nothing that cannot wait.", person=one.person)
        case "hours":
            when = words.time(one.from_at or at, at)
            return told(words, "{person} could be reached from {when} on.", person=one.person, when=when)
        case "ceiling":
            return told(
                words, "{person} had had {n|notice|notices} in the hour before, the most they asked for.",
                person=one.person, n=one.pushes,
            )  # fmt: skip
        case "next":
            return told(words, "{person} would have been told next.", person=one.person)
    return told(words, "{person} could have been reached.", person=one.person)


def _had(story: Story, at: int, words: Words) -> Iterator[str]:
    """Who had it from when."""
    for one in story.had:
        yield _had_line(one, at, words)
    if not story.had:
        yield words.say("Nobody answered.")


def _had_line(one: Had, at: int, words: Words) -> str:
    """One answer, putting off or handing on."""
    when, entry = words.time(one.at, at), told(words, "entry {n}", n=one.entry)
    match one.kind:
        case "put-off":
            until = words.time(one.until, at) if one.until is not None else ""
            text = told(words, "{when} {person} put it off until {until}", when=when, person=one.person, until=until)
        case "handed":
            text = told(words, "{when} {person} handed it to {to}", when=when, person=one.person, to=one.to)
        case _:
            found = words.say(one.finding) if one.finding else words.say("seen")
            text = told(words, "{when} {person} answered: {finding}", when=when, person=one.person, finding=found)
    note = f" ({one.note})" if one.note else ""
    return f"{text}{note} ({entry})"
