"""The figures that the shipped rules give: each setting says where it comes from, arithmetic is worked out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ruamel.yaml import YAML
from scipy.stats import norm

from sentinel.flow.measures.udder import sensor as udder_sensor
from sentinel.flow.rules import load_rules
from sentinel.simulator.figures import MishapFigures
from sentinel.simulator.sources import SHORT

FILES = sorted((Path(__file__).parents[3] / "rules").glob("*.yaml"))

NO_NUMBERS = (
    "rule",
    "measure",
    "per",
    "where",
    "urgency",
    "covered_by",
    "say",
    "caution",
    "look_first",
    "findings",
    "about",
)
"""Keys of a rule that hold words; `examples` hold rows, and every other key holds numbers with their unit."""

SOURCES = ("Regulation (EC) 853/2004", "Swiss SR 916.351.021.1")
"""Laws that a bound is taken from."""

ORIGINS = re.compile(
    "|".join(("common practice, no source", "our choice, no source", "from memory", *map(re.escape, SOURCES)))
)


def settings(item: Mapping[str, Any], inside: str = "") -> Iterator[tuple[str, str, int]]:
    """Every number of a rule, its classes and its options: the key, what is written, and its line (from 0)."""
    for key, value in item.items():
        if key == "options":
            yield from settings(value, f"{inside}options.")
        elif key == "classes":
            for one in value:
                yield from settings(one, f"{inside}classes.")
        elif key not in (*NO_NUMBERS, "examples"):
            yield f"{inside}{key}", str(value), item.lc.value(key)[0]  # type: ignore[attr-defined]


def without_origin(text: str) -> list[str]:
    """The settings of a rules file that do not say on their line where they come from."""
    lines = text.splitlines()
    found = []
    for item in YAML().load(text):
        for key, value, line in settings(item):
            _, _, comment = lines[line].partition(" #")
            if not ORIGINS.search(comment):
                found.append(f"{item['rule']}: {key}: {value}")
    return found


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_every_number_says_where_it_comes_from(file: Path) -> None:
    """Each bound, option and wait has its origin in a comment on its own line."""
    assert without_origin(file.read_text("utf-8")) == []


def test_every_kind_of_number_is_looked_at() -> None:
    """Second bounds, classes, options and waits are among the settings that must say where they come from."""
    seen = {key for file in FILES for item in YAML().load(file.read_text("utf-8")) for key, _, _ in settings(item)}

    assert seen >= {
        *("raise_over", "clear_under", "now_over", "lasting", "again_within", "remind_every", "remind_most"),
        "together",
        *("over_after", "options.within", "options.limit", "options.time_to_cool", "classes.raise_over"),
    }


def test_a_number_without_its_origin_is_found() -> None:
    """A bare bound, a comment that names no origin, an option and a class's bound are each told."""
    text = """
- rule: warm
  measure: milk_temperature_C
  options: {time_to_cool: 2 h}
  raise_over: 6 °C          # a little warm
  now_over: 8 °C            # our choice, no source
  classes:
    - where: {tank: 2}
      raise_over: 7 °C
  lasting: 1 h
"""

    assert without_origin(text) == [
        *("warm: options.time_to_cool: 2 h", "warm: raise_over: 6 °C", "warm: classes.raise_over: 7 °C"),
        "warm: lasting: 1 h",
    ]


# --- what is said of them --------------------------------------------------------------------------------


@cache
def about(name: str) -> str:
    """What a shipped rule says of its bound, on one line."""
    rules = [rule for file in FILES for rule in load_rules(file.read_text("utf-8"), file.name)[0]]
    return " ".join(next(rule.about for rule in rules if rule.name == name).split())


def said(name: str, pattern: str) -> tuple[float, ...]:
    """The numbers that stand in a sentence of a rule's text."""
    found = re.search(pattern, about(name))
    assert found, f"{name} does not say {pattern}"
    return tuple(float(one.replace(",", "")) for one in found.groups())


def test_how_many_looks_at_cells_find_nothing() -> None:
    """Of the cows over the bound, the share that is not infected: by how many are, and how well it tells them."""
    # Petzer et al. 2017, Onderstepoort 84:1269, a cow's milk at 150,000: sensitivity 65.3 %, specificity 66.8 %
    sensitivity, specificity = 0.653, 0.668
    told = said(
        "cow-cells", r"bound of 150, it is (\d+) % .*? (\d+) % are, (\d+) % where (\d+) % .*? (\d+) % where (\d+) % are"
    )
    half = said("cow-cells", r"and (\d+) % where half are")

    for percent, infected in ((told[0], told[1]), (told[2], told[3]), (told[4], told[5]), (half[0], 50.0)):
        empty, right = (1 - specificity) * (1 - infected / 100), sensitivity * infected / 100
        assert percent == round(100 * empty / (empty + right))
    assert [*told, *half] == [82, 10, 67, 20, 54, 30, 34]


def readings_until_equal(number: int, step: float, mean: float = 4.7, sd: float = 0.25) -> float:
    """Once in how many readings so many in a row are equal by chance: normal readings, rounded to steps in mS/cm."""
    written = np.arange(0.0, 10.0, step)
    share = norm.cdf((written + step / 2 - mean) / sd) - norm.cdf((written - step / 2 - mean) / sd)
    return float(1 / (share**number).sum())


@pytest.mark.parametrize("mean", [4.7, 4.73, 4.75, 4.78])
def test_equal_readings_by_chance(mean: float) -> None:
    """Cows that differ by 0.25 mS/cm, written with one decimal, agree eight times in a row once in 1.1 million."""
    (millions,) = said("sensor-stuck", r"once in ([\d.]+) million readings if the export writes one decimal")
    (years,) = (5,) if "once in five years at a box with 150 milkings a day" in about("sensor-stuck") else (0,)
    often = readings_until_equal(8, 0.1, mean)

    assert round(often / 1e6, 1) == millions == 1.1
    assert round(often / (150 * 4 * 365)) == years  # four sensors
    assert readings_until_equal(8, 0.01, mean) > 1e12  # hardly ever


def test_equal_readings_that_are_left_out() -> None:
    """Five in a row, from which on a sensor counts as stuck: once in 3,500 with one decimal, 34 million with two."""
    beside = Path(udder_sensor.__file__).read_text("utf-8")

    assert udder_sensor.STUCK_AT == 5
    assert round(readings_until_equal(2, 0.1)) == 9
    assert round(readings_until_equal(5, 0.1), -2) == 3_500
    assert round(readings_until_equal(5, 0.01) / 1e6) == 34
    assert (
        "once in nine times, five do once in 3,500 and eight once in 1.1 million; with two decimals five once in 34"
        in beside
    )


def test_equal_readings_in_whole_figures() -> None:
    """With whole figures in mS/cm even thirty equal ones are nothing odd: no bound tells a stuck sensor from cows."""
    assert readings_until_equal(30, 1.0, 5.0) < 5
    assert "take the rule out" in about("sensor-stuck")


def test_three_failures_of_three() -> None:
    """With the survey's share of failures three of three come by chance to one cow in 19,000."""
    failed, milkings, cows = said(
        "cow-failures", r"\(([\d.]+) failed per box and day at (\d+) milkings.* one cow in ([\d,]+) a day"
    )

    assert round((milkings / failed) ** 3, -3) == cows
    assert said("cow-failures", r"with ([\d.]+) failures per 100")[0] == round(100 * failed / milkings, 1)


def test_a_visit_every_six_minutes() -> None:
    """50.5 cows with 2.9 milkings and 1.9 other visits a day each are a visit every six minutes."""
    cows, milkings, others = said("box-quiet", r"([\d.]+) cows per box with ([\d.]+) milkings and ([\d.]+) other")

    assert round(24 * 60 / (cows * (milkings + others))) == 6
    assert "every six minutes" in about("box-quiet")


def test_more_washes_fewer_bacteria() -> None:
    """Three washes a day gave 10, two gave 13: wherever the pair stands, and in simulated herds, which wash thrice."""
    # EU automatic-milking project, CORDIS rcn/34696
    assert said("filter-overdue", r"three washes a day, .* lower than two \((\d+) against (\d+) thousand") == (10, 13)
    assert said("tank-bacteria", r"three system washes a day gave (\d+), two gave (\d+)") == (10, 13)
    assert MishapFigures().bacteria_k_ml == 10


def test_milk_short_of_what_was_expected() -> None:
    """Carried over (8.9 %) and failed (7.1 %) milkings together are the 16 % below 80 % of the expected yield."""
    # Davis et al. 2005, Proc NZ Soc Anim Prod 65:271: over 80 %, 20-80 %, below 20 %: 84, 8.9 and 7.1 %
    carried, both = (float(one) for one in re.findall(r"([\d.]+) % (?:at 20-80|below 80)", SHORT))

    assert (carried, both) == (8.9, round(8.9 + 7.1))
    assert both == 100 - 84


def test_the_phone_rings_within_what_some_law_allows() -> None:
    """No law is said to forbid 8 °C: in the United States 10 °C are allowed while the tank fills."""
    assert "any regime" not in about("tank-warm")
    assert said("tank-warm", r"to reach (\d+) °C")[0] > said("tank-warm", r"(\d+) °C for the phone")[0]


@pytest.mark.parametrize(
    ("name", "claim"),
    [
        ("quarter-conductivity", "three looks in four"),
        ("quarter-conductivity", "one clinical quarter in six"),
        ("yield-drop", "half a day earlier"),
        ("yield-drop", "four times as many"),
        ("box-failures", "half as often"),
        ("arm-offset", "5 to 18 mm"),
        ("slow-attach", "nearly all boxes"),
    ],
)
def test_what_only_simulated_herds_say_is_marked(name: str, claim: str) -> None:
    """The sentence that makes the claim says that it comes from simulation, or is an assumption of those herds."""
    sentences = [one for one in re.split(r"(?<=\.) (?=[A-Z])", about(name)) if claim in one]

    assert sentences
    assert all("simulat" in one or "assumption of those herds" in one for one in sentences)
