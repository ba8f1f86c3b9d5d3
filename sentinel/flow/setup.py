"""Everything a farm folder says, read from its texts: farm, people, feed maps and rules, with all their problems."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sentinel.flow.evaluation.feed_files import FeedFiles
from sentinel.flow.evaluation.pace import Pace, pace_said
from sentinel.flow.evaluation.quiet import at_pace, with_lag
from sentinel.flow.feeds import ADE_FEEDS, ADE_PACES, FeedMap, load_feed_map
from sentinel.flow.feeds.sharing import readers
from sentinel.flow.language import Words
from sentinel.flow.model import Problem, Source
from sentinel.flow.notices import Desk
from sentinel.flow.rules import Rule, Setting, check_together, load_rules, with_settings
from sentinel.flow.settings.farm import Farm, load_farm
from sentinel.flow.settings.people import Person, load_people
from sentinel.flow.tables import VISITS, BoxFacts, FarmFacts, FeedFacts
from sentinel.flow.yaml.text import did_you_mean

MOST_PROBLEMS = 100
"""So many problems of all settings are told at once."""

LONGEST_MESSAGE = 400
"""So many characters of a problem are told."""


NOTHING_LEARNED: Mapping[str, Pace] = {}
"""No feed has come often enough to tell its pace."""

NO_LAGS: Mapping[str, int] = {}
"""Nothing is known of how old what feeds bring is."""

NOTHING_SHOWN: Mapping[str, FeedFiles] = {}
"""Nothing is told from files but their rows."""


@dataclass(frozen=True, slots=True)
class Setup:
    """A farm's settings, whole and checked. `texts` are the files it was read from, by name in the farm folder."""

    farm: Farm
    people: tuple[Person, ...] = ()
    feeds: tuple[FeedMap, ...] = ()
    rules: Mapping[str, Rule] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)

    def maps_for(self, name: str) -> tuple[FeedMap, ...]:
        """The maps that read files of this name: one, or several that divide its rows; none if no map is for it."""
        return readers(self.feeds, name)

    def map_for(self, name: str) -> FeedMap | None:
        """The first of those; None if there is none."""
        return next(iter(self.maps_for(name)), None)

    def desk(self, words: Words) -> Desk:
        """What the notices room knows, and the words in which it says it."""
        farm = self.farm
        return Desk(self.people, farm.rounds, farm.worklist_before_s, farm.zone, farm.boxes, self.rules, words)


def read_setup(texts: Mapping[str, str]) -> tuple[Setup | None, list[Problem]]:
    """Read a farm folder's texts (`farm.yaml`, `people.yaml`, `feeds/*.yaml`, `rules/*.yaml`); all problems at once."""
    problems: list[Problem] = []
    if "farm.yaml" not in texts:
        return None, [Problem(Source("farm.yaml"), "there is no farm.yaml here; `sentinel init` makes one")]
    farm, faults = load_farm(texts["farm.yaml"], "farm.yaml")
    problems += faults
    people: tuple[Person, ...] = ()
    if "people.yaml" in texts:
        people, faults = load_people(texts["people.yaml"], "people.yaml")
        problems += faults
    feeds: list[FeedMap] = []
    rules: list[Rule] = []
    for name in sorted(texts):
        if len(problems) > MOST_PROBLEMS:
            break
        if name.startswith("feeds/"):
            feed, faults = load_feed_map(texts[name], name)
            problems += faults
            if feed is not None:
                feeds += [feed]
        elif name.startswith("rules/"):
            more, faults = load_rules(texts[name], name)
            problems += faults
            rules += more
    problems += check_together(rules)
    problems += _paces_elsewhere(farm, feeds) if farm is not None else []
    if farm is None or problems:
        return None, _shown(problems)
    return Setup(farm, people, tuple(feeds), {rule.name: rule for rule in rules}, dict(texts)), []


def _paces_elsewhere(farm: Farm, feeds: list[FeedMap]) -> list[Problem]:
    """Of which feeds farm.yaml says how often they come although it is for their map to say, or there are none."""
    problems, mapped = [], {one.feed for one in feeds}
    for name in farm.every_s:
        if name in mapped:
            sentence = f"feeds.{name}: this feed has a map; say there how often it comes (every: 2 h)"
        elif name not in ADE_FEEDS:
            sentence = f"feeds.{name}: no feed without a map is called so{did_you_mean(name, [*ADE_FEEDS])}"
        else:
            continue
        problems.append(Problem(Source("farm.yaml"), sentence))
    return problems


def _shown(problems: list[Problem]) -> list[Problem]:
    """As many problems as a person can read, each as one line of a length that can be read."""
    shown = []
    for one in problems[:MOST_PROBLEMS]:
        sentence = " ".join(one.message.split())
        sentence = sentence if len(sentence) <= LONGEST_MESSAGE else sentence[: LONGEST_MESSAGE - 1] + "…"
        shown.append(replace(one, message=sentence))
    if len(problems) > MOST_PROBLEMS:
        sentence = f"there are more problems than these {MOST_PROBLEMS}; put them right first"
        shown.append(Problem(problems[MOST_PROBLEMS].source, sentence))
    return shown


def farm_facts(
    setup: Setup,
    state: Mapping[str, tuple[tuple[str, ...], int | None]],
    watched_since: int,
    decided: Mapping[str, int],
    paces: Mapping[str, Pace] = NOTHING_LEARNED,
    files: Mapping[str, FeedFiles] = NOTHING_SHOWN,
    lags: Mapping[str, int] = NO_LAGS,
) -> FarmFacts:
    """What the measures may know: the feeds by their maps and by what has come, each with its known-until.

    `paces`: how often they come, as their files tell; it counts for those of which nobody says it. `files`: what those
    of visits show besides their rows. `lags`: how old in s what each brings is when it comes; it counts for tests.
    """
    farm, rules = setup.farm, setup.rules
    feeds = []
    for one in setup.feeds:
        if one.feed not in farm.not_used:
            until = state.get(one.feed, ((), None))[1]
            facts = FeedFacts(one.feed, _filled(one), one.pace, until, watched_since, learns=not one.says_pace)
            feeds.append(at_pace(facts, _pace(one.every, facts, paces), rules))
    mapped = {one.feed for one in setup.feeds} | set(farm.not_used)
    for name, (_, until) in state.items():
        if name not in mapped and name in ADE_FEEDS:
            every_s = farm.every_s.get(name)
            facts = FeedFacts(name, ADE_FEEDS[name], ADE_PACES[name], until, watched_since, learns=every_s is None)
            feeds.append(at_pace(facts, _pace(every_s, facts, paces), rules))
    return FarmFacts(
        boxes=setup.farm.boxes,
        chores=setup.farm.chores,
        feeds=tuple(
            _with_files(with_lag(feed, lags.get(feed.name, 0)), files.get(feed.name), farm.boxes, _alone(feed, feeds))
            for feed in feeds
        ),
        watched_since=watched_since,
        whole_herd_lists=any(_lists_whole_herd(one) for one in setup.feeds),
        decided=tuple(sorted(decided.items())),
        zone=setup.farm.zone,
    )


def _alone(feed: FeedFacts, feeds: Sequence[FeedFacts]) -> bool:
    """Whether no other feed tells of visits."""
    return not any(VISITS.name in other.tables for other in feeds if other is not feed)


def _with_files(feed: FeedFacts, files: FeedFiles | None, boxes: Sequence[str], alone: bool) -> FeedFacts:
    """A feed with what its files show; of boxes that the farm does not have it bounds nothing.

    Where each box has a feed of its own, that bounds only its box.
    """
    if files is None or feed.known_until is None:
        return feed
    of_box = {
        box: BoxFacts(box, one.known_until, one.silent_until, None if one.pace is None else one.pace.quiet_least_s)
        for box, one in files.boxes.items()
    }
    if not alone and files.only is not None:
        of_box = {files.only: BoxFacts(files.only, feed.known_until, files.silent_until)}
    known = tuple(one for box, one in of_box.items() if not boxes or box in boxes)
    return replace(feed, silent_until=files.silent_until, boxes=known)


def _pace(every_s: int | None, feed: FeedFacts, paces: Mapping[str, Pace]) -> Pace | None:
    """The pace of a feed: as it is said, else as it was learned."""
    return pace_said(every_s) if every_s is not None else paces.get(feed.name) if feed.learns else None


def _filled(feed: FeedMap) -> tuple[str, ...]:
    """The tables that a feed fills, then their columns as `table.column`."""
    columns = (f"{table}.{name}" for table, mapped in feed.table_maps.items() for name in mapped.fields())
    return (*feed.table_names, *columns)


def _lists_whole_herd(feed: FeedMap) -> bool:
    """Whether each file of the feed is a list of all cows: then the rows are true from the file's own stamp on."""
    cows = feed.table_maps.get("cows")
    begins = cows.fields().get("from") if cows is not None else None
    return begins is not None and begins.stamp


def with_rules(setup: Setup, texts: Mapping[str, str]) -> tuple[Setup | None, list[Problem]]:
    """The setup with other rules in place of its own: those that these texts write, by their file's name."""
    kept = {name: text for name, text in setup.texts.items() if not name.startswith("rules/")}
    return read_setup({**kept, **{f"rules/{name}": text for name, text in texts.items()}})


def changed_settings(setup: Setup, settings: Iterable[str]) -> tuple[Setup | None, list[Problem]]:
    """The setup with some rules' fields set as each `RULE.FIELD=VALUE` says, for trying out thresholds."""
    of_rule: dict[str, list[Setting]] = {}
    for setting in settings:
        target, given, value = setting.partition("=")
        name, _, key = target.partition(".")
        if name.strip() not in setup.rules or not key or not given:
            known = ", ".join(setup.rules)
            return None, [Problem(Source(setting), f"write it as RULE.FIELD=VALUE; the rules here are {known}")]
        of_rule.setdefault(name.strip(), []).append((key.strip(), value.strip()))
    rules = dict(setup.rules)
    for name, some in of_rule.items():
        changed, problems = with_settings(rules[name], some)
        if changed is None:
            return None, problems
        rules[name] = changed
    return replace(setup, rules=rules), []
