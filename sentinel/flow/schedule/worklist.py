"""The round's worklist: open alerts (as in the round's notice), chores due, wires to move, cows still out.

Nothing is remembered of a list but what people and boxes recorded: an item is ticked by recording the chore or by
answering the alert, and what was listed for an earlier round and not done since is carried over, and says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from sentinel.flow.evaluation.known_until import known_of
from sentinel.flow.measures.milking.lateness import HOURS_SINCE_MILKING
from sentinel.flow.model import DAY_S, Alert, Subject, kind_of, name_of
from sentinel.flow.ordering import natural_key
from sentinel.flow.rules import Rule
from sentinel.flow.schedule import sections
from sentinel.flow.schedule.chores import Kept, kept, record_of
from sentinel.flow.schedule.durations import chore_times_s, takes_s
from sentinel.flow.schedule.feeds import FeedLine, feed_line
from sentinel.flow.schedule.grazing import StillOut, sessions, still_out
from sentinel.flow.schedule.milk_waiting import MilkWaiting, milk_waiting
from sentinel.flow.schedule.rounds import BACK_S, Round, carried_from, round_at, starts_around
from sentinel.flow.settings.farm import Farm
from sentinel.flow.subjects import PRESSING, STOPS, belongs_to, place_of, subject_words
from sentinel.flow.tables import ChoreFacts, Tables


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to do or look at. Tick it with the chore `chore` at `chore_place` if there is one, else with `alert`.

    `kind`: `chore`, `wire` (move it), `bring` (a late cow), `look` (any other alert). `state`: `open`, `done` (the
    chore was done in this round's time, or somebody answered the alert) or `over` (it ended in this round's time).
    `since`: from when the alert has held, or when the chore was done last (None: not known). `due_at`: by when the
    chore is due. `carried_from`: the begin of the earlier round that it was listed for first, None if this is the
    first. `words` are the alert's sentence or the chore's name. `takes_s`: how long the chore takes on this farm (None:
    not known). `record_at` and `record_place`: the person's record by which the chore is done, which can be taken back;
    None if the box's own log says so. `milk`: what waits in a cow to be brought.
    """

    key: str
    part: str
    kind: str
    subject: Subject
    words: str
    state: str
    rule: str = ""
    urgency: str = "round"
    alert: int | None = None
    chore: str = ""
    chore_place: str = ""
    since: int | None = None
    due_at: int | None = None
    overdue: bool = False
    carried_from: int | None = None
    done_at: int | None = None
    done_by: str = ""
    finding: str = ""
    note: str = ""
    held_back: bool = False
    takes_s: float | None = None
    record_at: int | None = None
    record_place: str = ""
    milk: MilkWaiting | None = None

    @property
    def cow(self) -> str:
        """The cow that it is about, herself or by a quarter; empty if it is about none."""
        return next((name_of(one) for one in (self.subject, *belongs_to(self.subject)) if kind_of(one) == "cow"), "")


@dataclass(frozen=True, slots=True)
class Part:
    """The items under one heading (the code of one of `STOPS`), in the order in which they are walked."""

    part: str
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Worklist:
    """The list of one round, as seen at `at`. `waiting` items are still open. `round` is None on a farm without rounds.

    `chores_take_s`: how long the open chores take together, None unless that is known of each of them.
    `known`: until when each feed is known, so that a quiet feed is not mistaken for a quiet farm. `box_work`: the first
    part with something still to be done at a box; empty if nothing is.
    """

    at: int
    round: Round | None
    parts: tuple[Part, ...]
    out: tuple[StillOut, ...]
    waiting: int
    carried: int
    known: tuple[FeedLine, ...]
    box_work: str = ""
    chores_take_s: float | None = None


def worklist(alerts: Iterable[Alert], tables: Tables, rules: Mapping[str, Rule], farm: Farm, at: int) -> Worklist:
    """The worklist shown at `at`. `alerts`: those that stand, and those that ended since its round opened."""
    shown = round_at(farm.rounds, at, farm.zone)
    span = shown or Round(at, at + DAY_S // 2, at - DAY_S // 2, at)
    starts = starts_around(farm.rounds, at, farm.zone)
    everything = list(alerts)
    items = [
        *(_of_alert(a, part, rules, farm, span, starts) for part, a in listed(everything, farm.boxes)),
        *(_ended(a, rules, farm) for a in everything if _ended_within(a, span.opens, at)),
    ]
    done = kept(tables, rules)
    look = _Look(tables, farm, span, starts, at)
    chores = [*_chores(done, look), *_wires(done, look)]
    items = _timed(_together(items, chores, done), look)
    items = _most_milk_first(sorted(items, key=lambda item: item.state == "over"), tables, at)
    parts = tuple(Part(part, tuple(i for i in items if i.part == part)) for part in (stop.code for stop in STOPS))
    still = [item for item in items if item.state == "open"]
    feeds = sorted(tables.farm.feeds, key=lambda f: natural_key(f.name))
    return Worklist(
        at,
        shown,
        tuple(part for part in parts if part.items),
        still_out(tables, farm, at),
        len(still),
        sum(item.carried_from is not None for item in still),
        tuple(feed_line(feed, everything, rules, at) for feed in feeds),
        next((item.part for part in parts for item in part.items if _box_work(item, farm)), ""),
        take_s(still),
    )


def take_s(items: Iterable[Item]) -> float | None:
    """How long the open chores among some items take together, in s; None if there is none, or one is not known."""
    each = [item.takes_s for item in items if item.state == "open" and item.chore]
    known = [seconds for seconds in each if seconds is not None]
    return sum(known) if each and len(known) == len(each) else None


def _timed(items: Iterable[Item], look: _Look) -> list[Item]:
    """The items with how long their chores take, as far as the rounds before this one tell."""
    times = chore_times_s(look.tables, look.span.opens)
    chores = {(chore.name, chore.place): chore for chore in look.farm.chores}
    return [
        replace(item, takes_s=takes_s(chores[item.chore, item.chore_place], times))
        if (item.chore, item.chore_place) in chores
        else item
        for item in items
    ]


def _most_milk_first(items: Sequence[Item], tables: Tables, at: int) -> list[Item]:
    """The items with the cows to bring in order of the milk that waits, each with what else there is of her.

    In a part they stand where the first of them stood.
    """
    bring = {(i.part, i.cow) for i in items if i.kind == "bring" and i.state == "open"}
    milk = milk_waiting(tables, {cow for _, cow in bring}, at)
    ordered: list[Item] = []
    for part in dict.fromkeys(item.part for item in items):
        here = [item for item in items if item.part == part]
        hers = [item for item in here if (part, item.cow) in bring and item.state != "over"]
        hers.sort(key=lambda item: (milk[item.cow].order, natural_key(item.cow), item.kind != "bring"))
        first = next((n for n, item in enumerate(here) if item in hers), 0)
        others = [[item for item in some if item not in hers] for some in (here[:first], here[first:])]
        ordered += [*others[0], *(replace(i, milk=milk[i.cow]) if i.kind == "bring" else i for i in hers), *others[1]]
    return ordered


def _box_work(item: Item, farm: Farm) -> bool:
    return item.state == "open" and sections.at_box(item.subject, farm.boxes)


def listed(alerts: Sequence[Alert], boxes: Sequence[str]) -> list[tuple[str, Alert]]:
    """The alerts that the round's notice names, in its order, each with the code of its part."""
    return [(stop.code, alert) for stop, here in sections.sections(alerts, boxes) for alert in here]


def _of_alert(
    alert: Alert, part: str, rules: Mapping[str, Rule], farm: Farm, span: Round, starts: Sequence[int]
) -> Item:
    """A standing alert as an item; an answer given in this round's time is its tick."""
    came = alert.raised_at if alert.came_at is None else alert.came_at
    answered = alert.answered_at is not None
    sent = came + farm.worklist_before_s - 1  # listed if it came by the moment at which the round's list is sent
    return replace(
        _bare(alert, part, rules, farm),
        state="done" if answered else "open",
        carried_from=None if answered else carried_from(starts, span, sent),
        done_at=alert.answered_at,
        done_by=alert.answered_by,
        finding=alert.finding,
        note=alert.note,
        held_back=bool(alert.covered_by) and not answered,
    )


def _ended(alert: Alert, rules: Mapping[str, Rule], farm: Farm) -> Item:
    """An alert that ended in this round's time: nothing is left to do."""
    stop = PRESSING if alert.urgency == "now" else place_of(alert.subject, farm.boxes).stop
    item = _bare(alert, stop.code, rules, farm)
    return replace(item, state="over", done_at=alert.over_at, done_by=alert.answered_by, finding=alert.finding)


def _ended_within(alert: Alert, opens: int, at: int) -> bool:
    """Whether an alert that a list may name has ended since the list opened."""
    return alert.urgency in ("now", "round") and alert.over_at is not None and opens <= alert.over_at <= at


def _bare(alert: Alert, part: str, rules: Mapping[str, Rule], farm: Farm) -> Item:
    """What an item says of its alert."""
    rule = rules.get(alert.rule)
    late = rule is not None and rule.measure == HOURS_SINCE_MILKING.name and kind_of(alert.subject) == "cow"
    return Item(
        key=f"alert:{alert.id}",
        part=part,
        kind="bring" if late else "look",
        subject=alert.subject,
        words=alert.text,
        state="open",
        rule=alert.rule,
        urgency=alert.urgency,
        alert=alert.id,
        since=alert.since,
    )


@dataclass(frozen=True, slots=True)
class _Look:
    """What a chore's item is worked out from: the rows, the farm, the round that is shown, and the moment."""

    tables: Tables
    farm: Farm
    span: Round
    starts: Sequence[int]
    at: int


def _chores(done: Sequence[Kept], look: _Look) -> Iterable[Item]:
    """The chores that must be done in this round, as they would be overdue before the following one; box by box."""
    planned = {(block.chore, block.name) for block in look.farm.grazing if block.move_wire_before is not None}
    for one in sorted(done, key=lambda k: natural_key(k.chore.place)):
        last, due = one.last(look.span.opens), one.due_at(look.span.opens)
        if (one.chore.name, one.chore.place) in planned or last is None or due is None:
            continue
        if due <= look.span.following:
            yield _item(one, "chore", last, due, look)


def _wires(done: Sequence[Kept], look: _Look) -> Iterable[Item]:
    """The wires that must be moved in this round by the grazing plan.

    A move counts for the first time the block is grazed that is not over by then: made a little late it is still for
    that one, made the evening before it is for the next morning.
    """
    begin = look.span.opens - BACK_S
    dues: dict[tuple[str, str], list[tuple[int, int]]] = {}
    for one in sessions(look.farm.grazing, begin, look.span.following, look.farm.zone):
        if one.wire_due is not None:
            dues.setdefault((one.block.chore, one.block.name), []).append((one.wire_due, one.ends))
    wires = [one for one in done if (one.chore.name, one.chore.place) in dues]
    for wire in sorted(wires, key=lambda k: natural_key(k.chore.place)):
        last = wire.last(look.span.opens)
        turns = sorted(dues[(wire.chore.name, wire.chore.place)])
        moved = max((m for m in wire.done if look.tables.farm.watched_since < m <= look.span.opens), default=begin)
        met = next((due for due, ends in turns if ends > moved), turns[-1][0]) if moved > begin else begin
        met = max(met, look.tables.farm.watched_since)
        wanted = [due for due, _ in turns if met < due <= look.span.following]
        if wanted and last is not None:
            yield _item(wire, "wire", last, wanted[0], look)


def _item(kept_chore: Kept, kind: str, last: int, due: int, look: _Look) -> Item:
    """A chore or a wire that was due when the round opened, and whether it has been done since."""
    chore, span, facts = kept_chore.chore, look.span, look.tables.farm
    done = next((moment for moment in kept_chore.done if span.opens < moment <= look.at), None)
    record = None if done is None else record_of(chore, done, look.tables)
    known = known_of("box_log", facts.feeds, look.at) if chore.event else look.at
    return Item(
        key=chore.subject,
        part=place_of(chore.subject, look.farm.boxes).code,
        kind=kind,
        subject=chore.subject,
        words=subject_words(chore.subject),
        state="open" if done is None else "done",
        chore=chore.name,
        chore_place=chore.place,
        since=None if last <= facts.watched_since else last,
        due_at=due,
        overdue=done is None and known is not None and due < known,
        carried_from=None if done is not None else carried_from(look.starts, span, last, due),
        done_at=done,
        done_by="" if record is None else record.person,
        note="" if record is None else record.note,
        record_at=None if record is None else done,
        record_place="" if record is None else record.place,
    )


def _together(items: Sequence[Item], chores: Iterable[Item], kept_chores: Sequence[Kept]) -> list[Item]:
    """One item for a chore and the alert about it: the alert's words and place in the list, and the chore's tick."""
    told_of = {pair: one.chore for one in kept_chores for pair in one.alerts_of}
    left = {chore.key: chore for chore in chores}
    joined = []
    for item in items:
        chore = told_of.get((item.rule, item.subject))
        due = left.get(chore.subject) if chore else None
        if chore is None:
            joined.append(item)
        elif item.state == "over":
            joined += [] if due else [item]
        else:
            joined.append(_with_chore(item, chore, due))
            left.pop(chore.subject, None)
    return [*joined, *left.values()]


def _with_chore(item: Item, chore: ChoreFacts, due: Item | None) -> Item:
    """An alert's item that is ticked by its chore; `due` is the chore's own item, if it was due for this round."""
    item = replace(item, chore=chore.name, chore_place=chore.place)
    if due is None:
        return item
    earlier = [begins for begins in (item.carried_from, due.carried_from) if begins is not None]
    carried = min(earlier, default=None) if item.state == "open" else None
    item = replace(item, kind=due.kind, due_at=due.due_at, overdue=due.overdue, carried_from=carried)
    if due.state == "done" and item.state == "open":
        item = replace(item, state="done", done_at=due.done_at, done_by=due.done_by, note=due.note, carried_from=None)
        item = replace(item, record_at=due.record_at, record_place=due.record_place)
    return item
