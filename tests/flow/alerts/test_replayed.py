"""The incidents of a history in one pass are those that were found live, moment by moment."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.alerts.incidents import joined
from sentinel.flow.alerts.lifecycle import cover
from sentinel.flow.alerts.links import Links
from sentinel.flow.alerts.replayed import Life, troubles_of_history
from sentinel.flow.model import DAY_S, Alert
from sentinel.flow.rules import Rule

COVERED_BY = {
    "box-failures": ("herd-failures",),
    "slow-attach": ("box-failures",),
    "arm-offset": (),
    "box-quiet": (),
    "herd-failures": (),
    "late-cow": ("box-quiet",),
    "cow-failures": ("box-failures", "herd-failures"),
    "yield-drop": ("late-cow",),
    "quarter-conductivity": (),
}
COWS = ["cow:7", "cow:8"]
ON = {"herd-failures": ["herd"], "late-cow": COWS, "cow-failures": COWS, "yield-drop": COWS}
ON |= {"quarter-conductivity": ["quarter:7/LF", "quarter:7/RR"]}
LINKS = Links({"7": frozenset({"1", "2"}), "8": frozenset({"2"})})
RULES = {
    name: Rule(name=name, measure="hours_since_milking", per="cow", unit="h", raise_over=1, say="", covered_by=causes)
    for name, causes in COVERED_BY.items()
}
moments = st.integers(0, 40).map(lambda n: n * DAY_S // 6)


@st.composite
def histories(draw: st.DrawFn) -> list[Life]:
    """Alerts that stand for a while, never two of one rule and subject at once, as they are raised."""
    found = []
    for rule in COVERED_BY:
        for subject in ON.get(rule, ["box:1", "box:2"]):
            edges = sorted(draw(st.lists(moments, max_size=6, unique=True)))
            suspects = st.sampled_from(["arm", "optics", ""] if subject.startswith("box") else [""])
            for start, end in zip(edges[::2], [*edges[1::2], None], strict=False):
                found.append(Life(rule, subject, start, end, draw(suspects)))
    place = {name: n for n, name in enumerate(COVERED_BY)}
    return sorted(found, key=lambda one: (one.raised_at, place[one.rule], one.subject))


def live(lives: list[Life]) -> list[int]:
    """The incident that each alert last said it belonged to, moment by moment, as the service does it."""
    alerts: dict[tuple[str, str], Alert] = {}
    last: dict[int, int] = {}
    for at in sorted({moment for one in lives for moment in (one.raised_at, one.over_at) if moment is not None}):
        alerts |= {
            (one.rule, one.subject): replace(alerts[(one.rule, one.subject)], over_at=at, covered_by=())
            for one in lives
            if one.over_at == at
        }
        for number, one in enumerate(lives, 1):
            if one.raised_at == at:
                alerts[(one.rule, one.subject)] = Alert(
                    number, one.rule, one.subject, at, at, "now", "", suspect=one.suspect
                )
        alerts |= cover(at, RULES, alerts, LINKS)[0]
        alerts |= {(one.rule, one.subject): one for one in joined(alerts)}
        last |= {one.id: one.incident for one in alerts.values() if one.standing}
    return [last[number] - 1 for number in range(1, len(lives) + 1)]


@settings(max_examples=300, deadline=None)
@given(histories())
def test_one_pass_over_a_history_finds_the_incidents_of_a_live_run(lives: list[Life]) -> None:
    """Boxes with their suspects, cows within a day, causes that come first and last, ends and beginnings together."""
    assert troubles_of_history(lives, COVERED_BY, lambda at: LINKS).founders == live(lives)


def test_a_cow_late_for_a_box_belongs_to_the_box_also_after_it_goes_on() -> None:
    """What covered her ended first; she was part of that trouble."""
    lives = [Life("late-cow", "cow:7", 10, 90), Life("box-quiet", "box:2", 20, 50)]

    assert troubles_of_history(lives, COVERED_BY, lambda at: LINKS).founders == [1, 1]
