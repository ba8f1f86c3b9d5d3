"""The kinds of subject, each declared once: its order on the walk, its place, its page, its attributes, its words.

A new kind of subject is one more row of `KINDS`. Everything that goes by kind reads it from there: lists, worklists,
rules' `where`, sentences, the page.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Literal

from sentinel.flow.language import ENGLISH, Words, fill
from sentinel.flow.model import QUARTERS, Subject, kind_of, name_of

# --- where one walks --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Place:
    """A place on the walk.

    `code` names it in the views, `label` is what the page calls it and `heading` what a worklist's notice does. What is
    met `within` another place has a part of its own on the page, but none in a worklist.
    """

    code: str
    label: str
    heading: str = ""
    within: Place | None = None

    @property
    def stop(self) -> Place:
        """The place under whose heading a worklist has it."""
        return self.within or self


BOXES = Place("boxes", "Boxes", "Boxes and milk room")
YARD = Place("yard", "Yard", "Cows")
FIELD = Place("field", "Field", "Field")
TANK_ROOM = Place("tank", "Tank", within=BOXES)
OFFICE = Place("office", "Office", "Office")

PLACES = (BOXES, YARD, FIELD, TANK_ROOM, OFFICE)
"""The places, in the order in which they are walked."""

PRESSING = Place("pressing", "Still open", "Still open")
"""No place: what could not wait and still stands comes before all of them."""

STOPS = (PRESSING, *(place for place in PLACES if place.within is None))
"""The parts of a worklist, in order."""

# --- what a rule may ask of them ---------------------------------------------------------------------------

PACES = ("hourly", "daily", "weekly", "monthly")
"""How often a feed should come."""

YES_NO = ("yes", "no")
"""Words that YAML may read as true and false."""


@dataclass(frozen=True, slots=True)
class Attribute:
    """What a rule's `where` may ask of a subject.

    `label` is how it is said before its value, `words` are the only values that it has (empty: any name). One that
    stands in the herd list (`in_herd_list`) may change with time, and is declared with that table.
    """

    name: str
    label: str
    doc: str = ""
    words: tuple[str, ...] = ()
    in_herd_list: bool = False


_COW = (
    Attribute("cow", "cow", "the cow's number on the farm"),
    Attribute("group", "group", in_herd_list=True),
    Attribute("lactation", "lactation", in_herd_list=True),
    Attribute("milkings_allowed", "milkings allowed a day", in_herd_list=True),
    Attribute("status", "status", in_herd_list=True),
)
_FEED = (
    Attribute("feed", "export", "the feed"),
    Attribute("pace", "coming", "how often it should come", words=PACES),
)

HERD_LIST = tuple(one.name for one in _COW if one.in_herd_list)
"""The attributes of a cow that the herd list says."""

# --- the kinds ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of subject, by what stands before the colon (`name`).

    `place` is where it is met. `parts` says what the parts of its name are: `217/LF` is a `cow` and a `quarter`. The
    first or second part may name a subject of another kind that it belongs to (`first_is`, `second_is`): a quarter's
    cow, a chore's box; with `placed` the second part says where it is met. Of one that is `dated` the name is a day of
    the farm's calendar, as `2026-11-12`. `page` is the first word of the address of
    its page, empty if it has none.

    `word` is said before its name. `sentence` is how it is said in a sentence, if that is not the word and the name,
    and `title` above its page; `short` is the word in few words, where the cow stands for her quarter. `each` says that
    a rule is on it. All of these are in the catalogues.
    """

    name: str
    word: str
    each: str
    place: Place
    parts: tuple[str, ...]
    attributes: tuple[Attribute, ...] = ()
    page: str = ""
    sentence: str = ""
    title: str = ""
    short: str = ""
    first_is: str = ""
    second_is: str = ""
    placed: bool = False
    dated: bool = False


KINDS = (
    Kind(
        "box",
        "box",
        "Per box",
        BOXES,
        ("box",),
        attributes=(Attribute("box", "box", "which box"),),
        page="box",
        title="Box {box}",
    ),
    Kind(
        "tank",
        "tank",
        "Per tank",
        TANK_ROOM,
        ("tank",),
        attributes=(Attribute("tank", "tank", "which tank"),),
        page="tank",
        title="Tank {tank}",
    ),
    Kind("cow", "cow", "Per cow", YARD, ("cow",), attributes=_COW, page="cow", title="Cow {cow}"),
    Kind(
        "quarter",
        "quarter",
        "Per quarter",
        YARD,
        ("cow", "quarter"),
        attributes=(
            *_COW,
            Attribute("quarter", "quarter", "left front, right front, left rear, right rear", words=QUARTERS),
            Attribute("box", "box", "the box of the reading"),
        ),
        page="cow",
        sentence="{quarter} quarter of cow {cow}",
        title="Cow {cow}",
        short="cow",
        first_is="cow",
    ),
    Kind("herd", "herd", "The whole herd", YARD, (), sentence="the herd"),
    Kind(
        "recording",
        "milk recording",
        "Per milk recording",
        YARD,
        ("recording",),
        sentence="the milk recording of {recording}",
        dated=True,
    ),
    Kind(
        "chore",
        "chore",
        "Per chore",
        YARD,
        ("chore", "place"),
        attributes=(
            Attribute("chore", "chore", "which chore"),
            Attribute("place", "place", "where it is done"),
            Attribute("planned", "by the grazing plan:", "whether the grazing plan says by when", words=YES_NO),
        ),
        sentence="{chore} {place}",
        second_is="box",
        placed=True,
    ),
    Kind("feed", "feed", "Per export", OFFICE, ("feed",), attributes=_FEED),
    Kind("file", "file", "Per file", OFFICE, ("feed", "file"), attributes=_FEED, sentence="file {file} of {feed}"),
    Kind(
        "unread",
        "what could not be read",
        "Per export and cause",
        OFFICE,
        ("feed", "cause"),
        attributes=_FEED,
        sentence="what could not be read of {feed} ({cause})",
    ),
    Kind(
        "channel",
        "channel",
        "Per channel",
        OFFICE,
        ("channel",),
        attributes=(Attribute("channel", "channel", "which channel"),),
    ),
    Kind("rule", "rule", "Per rule", OFFICE, ("rule",), attributes=(Attribute("rule", "rule", "which rule"),)),
)
"""Every kind of subject, in the order in which they are walked: boxes and milk room, cows, chores, office."""

_BY_NAME = {kind.name: kind for kind in KINDS}


def kind_named(name: str) -> Kind:
    """The kind of that name; one that nobody declared is met in the office and has no more than its name."""
    return _BY_NAME.get(name) or Kind(name, name, name, OFFICE, (name,))


def walk_order(subject: Subject) -> int:
    """The place of a subject's kind on the walk; those of no kind come last."""
    kind = _BY_NAME.get(kind_of(subject))
    return len(KINDS) if kind is None else KINDS.index(kind)


def place_of(subject: Subject, boxes: Collection[str]) -> Place:
    """Where a subject is met.

    A chore at a box is done at the box, one at any other place in the field, one without a place in the yard.

    >>> [place_of(s, ["2"]).code for s in ("tank:1", "quarter:217/LF", "chore:wash/2", "chore:wire/east", "herd")]
    ['tank', 'yard', 'boxes', 'field', 'yard']
    """
    kind, where = kind_named(kind_of(subject)), name_of(subject).partition("/")[2]
    if kind.placed and where:
        return BOXES if where in boxes else FIELD
    return kind.place


def parts_of(subject: Subject) -> dict[str, str]:
    """The parts of a subject's name by what they are.

    >>> parts_of("quarter:217/LF"), parts_of("chore:tank"), parts_of("herd")
    ({'cow': '217', 'quarter': 'LF'}, {'chore': 'tank', 'place': ''}, {})
    """
    names, name = kind_named(kind_of(subject)).parts, name_of(subject)
    head, _, tail = name.partition("/")
    return dict(zip(names, (head, tail) if len(names) > 1 else (name,), strict=False))


def belongs_to(subject: Subject) -> tuple[Subject, ...]:
    """The subjects that its name names: a quarter's cow, the place of a chore as a box (which it need not be).

    >>> belongs_to("quarter:217/LF"), belongs_to("chore:wash/2"), belongs_to("cow:217")
    (('cow:217',), ('box:2',), ())
    """
    kind, (head, _, tail) = kind_named(kind_of(subject)), name_of(subject).partition("/")
    named = ((kind.first_is, head), (kind.second_is, tail))
    return tuple(f"{other}:{name}" for other, name in named if other and name)


# --- how they are spoken of --------------------------------------------------------------------------------

QUARTER_NAMES = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}

USUAL_CHORES = ("filter", "wash", "optics", "arm", "wire")
"""The chores that the rules which ship speak of; any other has the name that the farm gave it."""

Form = Literal["sentence", "short", "title"]
"""How much is said: as in a sentence, in as few words as will do, or as the title of its page."""


def subject_words(subject: Subject, words: Words = ENGLISH, form: Form = "sentence") -> str:
    """A subject as a person says it.

    >>> [subject_words(s) for s in ("quarter:217/LF", "chore:wash/2", "herd", "box:2")]
    ['left front quarter of cow 217', 'wash 2', 'the herd', 'box 2']
    >>> [subject_words(s, form="short") for s in ("quarter:217/LF", "chore:wash/2", "herd", "recording:2026-11-12")]
    ['cow 217 LF', 'chore wash 2', 'herd', 'milk recording 12 Nov 2026']
    >>> [subject_words(s, form="title") for s in ("quarter:217/LF", "box:2")]
    ['Cow 217, left front', 'Box 2']
    """
    kind, parts = kind_named(kind_of(subject)), said_parts(subject, words)
    if form == "short":
        head, _, tail = name_of(subject).partition("/")
        called = f"{parts.get('chore', parts[kind.parts[0]] if kind.dated else head)} {tail}".strip()
        return f"{words.say(kind.short or kind.word)} {called}".strip()
    if form == "title" and kind.title:
        title = fill(words.say(kind.title), parts, form=words.form)
        return f"{title}, {parts['quarter']}" if "quarter" in parts else title
    if kind.sentence:
        return fill(words.say(kind.sentence), parts, form=words.form).strip()
    return f"{words.say(kind.word)} {name_of(subject)}"


def said_parts(subject: Subject, words: Words) -> dict[str, str]:
    """The parts of a subject's name as a sentence says them: a quarter, a usual chore and a day in words."""
    parts = parts_of(subject)
    if kind_named(kind_of(subject)).dated:
        parts = {name: _day_words(day, words) for name, day in parts.items()}
    if "quarter" in parts:
        parts["quarter"] = words.say(QUARTER_NAMES.get(parts["quarter"], parts["quarter"]))
    if "chore" in parts:
        parts["chore"] = chore_words(parts["chore"], words)
    return parts


def _day_words(written: str, words: Words) -> str:
    """A day as a person writes it; what is none stays as it is."""
    try:
        return words.calendar(date.fromisoformat(written))
    except ValueError:
        return written


def chore_words(name: str, words: Words) -> str:
    """A chore's name; one that the farm named itself stays as it is."""
    return words.say(name) if name in USUAL_CHORES else name
