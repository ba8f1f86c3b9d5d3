"""One rule with many bounds on one history: what each raises, who answered what of it, what it misses."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from text_tables import moment, table

from sentinel.flow.measures import measure_named
from sentinel.flow.model import DAY_S
from sentinel.flow.replay import Coming, Raised, replay
from sentinel.flow.rules import Rule, load_rules
from sentinel.flow.tables import FarmFacts, Tables
from sentinel.flow.tuning.advice import dropped, missed
from sentinel.flow.tuning.compare import rings
from sentinel.flow.tuning.episodes import Episode
from sentinel.flow.tuning.sweep import History, history_of, swept, tried

RULES = """
- rule: late-cow
  measure: hours_since_milking
  raise_over: 3 h
  now_over: 6 h
  covered_by: [quiet]
  urgency: round
  say: "{value}"
- rule: quiet
  measure: box_quiet_min
  raise_over: 10 h
  urgency: now
  say: "{value}"
"""
VISITS = "cow  start  box  outcome\n" + "\n".join(
    f"{cow}  {at}  1  milked"
    for cow, at in sorted(
        [
            *(("1", f"{hour:02}:00") for hour in range(0, 24, 2)),
            *(("2", f"{hour:02}:00") for hour in (0, 5, 10, 14, 18)),
            *(("3", f"{hour:02}:00") for hour in (0, 9, 20)),
        ],
        key=lambda one: one[1],
    )
)
HOURS = Coming(np.arange(moment("00:00"), moment("23:00"), 3600), np.arange(moment("00:00"), moment("23:00"), 3600))


def rules() -> dict[str, Rule]:
    """A rule on cows that another one on boxes holds back."""
    found, problems = load_rules(RULES, "rules.yaml")
    assert problems == []
    return {one.name: one for one in found}


def history(known: tuple[Episode, ...] = (), since: str = "00:00", **more: Any) -> History:
    """A day of three cows: the first comes every two hours, the second every four or five, the third seldom."""
    farm = FarmFacts(boxes=("1",), watched_since=moment("00:00"))
    tables = Tables(visits=table("visits", VISITS), farm=farm)
    given = {**rules(), **more}
    feeds = {"visits": ("milkings",)}
    return history_of(
        given["late-cow"], given, tables, {"milkings": HOURS}, feeds, known, moment(since), moment("23:00")
    )


def bounds(*hours: str) -> list[tuple[tuple[str, str], ...]]:
    """The raising bound, tried at these."""
    return [(("raise_over", hour),) for hour in hours]


def test_each_bound_raises_what_a_replay_with_it_raises() -> None:
    """Also when it rings and what holds it back."""
    place = history()
    found, unfit = swept(place, bounds("1 h", "3 h", "4 h 30 min"))

    assert unfit == []
    for one in found:
        every = {**rules(), "late-cow": one.rule}
        whole = replay(every, place.tables, {"milkings": HOURS}, {"visits": ("milkings",)}, place.until)
        in_order = sorted(one.raised, key=lambda alert: (alert.raised_at, alert.subject))
        expected = [alert for alert in whole if alert.rule == "late-cow"]
        assert [replace(alert, incident=None) for alert in in_order] == [
            replace(alert, incident=None) for alert in expected
        ]
        assert one.rings == len(rings(expected))
    assert [len(one.raised) for one in found] == sorted((len(one.raised) for one in found), reverse=True)
    assert len({len(one.raised) for one in found}) == 3


def test_what_holds_a_rule_back_is_taken_from_the_other_rules() -> None:
    """One on the same cow that is raised an hour earlier stands all the while: nothing rings."""
    quiet = rules()["late-cow"].model_copy(update={"name": "quiet", "raise_over": 2.0, "covered_by": ()})

    assert tried(history(), rules()["late-cow"]).rings > 0
    assert tried(history(quiet=quiet), rules()["late-cow"]).rings == 0


def test_answers_are_of_the_alerts_that_stand_when_the_real_ones_did() -> None:
    """Cow 3's first was for something, her second for nothing, one of cow 2's only seen, the others never raised."""
    now = tried(history(), rules()["late-cow"])
    at = {one: [alert for alert in now.raised if alert.subject == f"cow:{one}"] for one in "23"}
    first, second = at["3"]

    def said(alert: Raised, label: Any, found_at: int | None = None) -> Episode:
        return Episode(alert.subject, alert.raised_at, alert.over_at, label, found_at)

    known = (
        said(first, "real", first.raised_at + 1200),
        said(second, "nothing found"),
        said(at["2"][0], "seen"),
        said(at["2"][1], ""),
    )
    found, _ = swept(history(known), [*bounds("3 h"), (("raise_over", "9 h 30 min"), ("now_over", "12 h"))])
    low, high = found

    assert (low.real.part, low.real.whole, low.unanswered, missed(low, low)) == (1, 2, 1, ())
    assert low.fresh == len(low.raised) - 4
    assert [one.label for one in dropped(low, high)] == ["real", "seen", ""]
    assert missed(low, high) == (known[0],)
    assert (high.real.part, high.real.whole, high.fresh) == (0, 1, 0)


def test_the_lead_is_to_where_something_was_found_or_to_the_end() -> None:
    """Of cow 3's two only the first was found out, twenty minutes after; the other ended when she was milked."""
    place = history()
    seldom = place.rule.model_copy(update={"raise_over": 7.0, "now_over": None})
    first, second = tried(place, seldom).raised
    known = (Episode("cow:3", first.raised_at, first.over_at, "real", first.raised_at + 1200),)
    lead_s = tried(history(known), seldom).lead_s

    assert second.over_at is not None
    assert lead_s == (1200 + second.over_at - second.raised_at) / 2


def test_only_what_is_raised_in_the_time_counts() -> None:
    """And the weeks are those of the time."""
    whole, half = tried(history(), rules()["late-cow"]), tried(history(since="12:00"), rules()["late-cow"])

    assert [one for one in whole.raised if one.raised_at >= moment("12:00")] == list(half.raised)
    assert replace(history(since="12:00"), until=moment("12:00") + 14 * DAY_S).weeks == 2


def test_a_value_that_does_not_fit_the_rule_is_named_with_why() -> None:
    """A pressing bound below the raising one, tried itself; one that is not tried moves along."""
    both = (("raise_over", "8 h"), ("now_over", "7 h"))
    found, unfit = swept(history(), [both, *bounds("8 h")])

    [(settings, why)] = unfit
    assert (settings, "now_over" in why) == (both, True)
    assert [one.settings for one in found] == [(("raise_over", "8 h"), ("now_over", "16 h"))]


def test_readings_are_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the number of values."""
    asked: list[str] = []
    usual = measure_named("hours_since_milking")

    def compute(tables: Tables, per: str, options: Any) -> Any:
        asked.append(per)
        return usual.compute(tables, per, options)

    counting = replace(usual, compute=compute)
    names = {"hours_since_milking": counting}
    for module in ("sentinel.flow.tuning.sweep", "sentinel.flow.replay"):
        monkeypatch.setattr(f"{module}.measure_named", lambda name: names.get(name) or measure_named(name))
    place = history()
    steps: list[int] = []
    swept(place, bounds(*(f"{minutes} min" for minutes in range(60, 300, 10))), lambda: steps.append(1))

    assert asked == ["cow"]
    assert len(steps) == 24
