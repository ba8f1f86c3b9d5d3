"""Quarters under each other's names are asked about where their milk tells."""

from __future__ import annotations

from flow.feeds.trial.tried_maps import BEGIN, tried_on

from sentinel.flow.feeds.trial.rear_quarters import rear_quarters
from sentinel.flow.model import Export

MAP = """\
feed: visits
files: "visits_*.csv"
times: epoch_s
tables:
  visits: {cow: Cow, start: Start}
  quarters:
    each: {LF: a, RF: b, LR: c, RR: d}
    milk_kg: "{quarter}"
"""


def asked(text: str, n: int = 40, rear_kg: float = 3.5) -> list[str]:
    """What is asked of a map by so many milkings, in which `c` and `d` are the rear quarters."""
    rows = "".join(f"{i},{BEGIN + 400 * i},2.5,2.4,{rear_kg},{rear_kg}\n" for i in range(n))
    of = tried_on(text, Export("visits_1.csv", f"Cow,Start,a,b,c,d\n{rows}".encode(), BEGIN + 86_400))
    return [str(one) for one in rear_quarters(of)]


def test_a_front_quarter_called_rear_is_asked_about() -> None:
    """At the line where the quarters are named; nothing of those that are named right."""
    assert asked(MAP) == []
    [question] = asked(MAP.replace("RF: b, LR: c", "RF: c, LR: b"))
    assert question.startswith("feeds/visits.yaml:7:")
    assert "(LR, RR) give 50 % of the milk" in question


def test_nothing_is_asked_of_a_few_cows_or_of_no_milk() -> None:
    """Some cows give more in front; a file of refused visits gives none."""
    turned = MAP.replace("LF: a, RF: b, LR: c, RR: d", "LF: c, RF: d, LR: a, RR: b")
    assert asked(turned) != []
    assert asked(turned, n=24) == []
    assert asked(turned, rear_kg=0.0) == []
