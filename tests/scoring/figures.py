"""The detection figures of the docs, as three pictures; `python -m tests.scoring --docs` makes them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import reduce
from operator import add
from pathlib import Path

from sentinel.simulator import Simulated

from .baselines import box_readings, over, udder_readings
from .episodes import BOX_FAULTS, UDDER, episodes
from .frontier import BOUNDS, Point, at_equal_false, frontier
from .score import BoxScore, UdderScore, score_boxes

FOLDER = Path(__file__).parent / "figures"

EVIDENCE, MONTHS, COUNT = (
    "five signs together",
    "failures against those expected for the cows",
    "failures counted in 6 h",
)
UDDER_NAMES = {
    "evidence": EVIDENCE,
    "rise": "rise over its mean of 14",
    "ratio": "ratio to the two lowest",
    "level": "fixed level",
}
BOX_BOUNDS: Mapping[str, Sequence[float]] = {
    MONTHS: (0.5, 1.0, 2.0, 4.0, 8.0, 18.0, 36.0, 72.0, 120.0),
    COUNT: (2.5, 3.5, 4.5, 5.5, 6.5, 7.5, 9.5),
}
STYLES = {0: ("#0b4f9e", "o", "-"), 1: ("#a34700", "s", "--"), 2: ("#5b5b5b", "^", "-."), 3: ("#00695c", "x", ":")}
"""Colour, marker and line of each curve: never colour alone."""


def udder_curves(herds: Sequence[Simulated]) -> dict[str, list[Point]]:
    """Each udder measure as a plain bound, at many bounds."""
    readings = [udder_readings(herd.tables, with_evidence=True) for herd in herds]
    truths = [episodes(herd.items, UDDER) for herd in herds]
    curves = {}
    for name, shown in UDDER_NAMES.items():
        given = [(h.tables, truth, mine[name]) for h, truth, mine in zip(herds, truths, readings, strict=True)]
        curves[shown] = frontier(given, BOUNDS[name])
    return curves


def box_curves(herds: Sequence[Simulated]) -> dict[str, list[tuple[float, BoxScore]]]:
    """Failures of a box against those expected for its cows, and by a plain count, at many bounds."""
    curves: dict[str, list[tuple[float, BoxScore]]] = {}
    readings = [box_readings(herd.tables) for herd in herds]
    for name, bounds in BOX_BOUNDS.items():
        curves[name] = []
        for bound in bounds:
            scores = []
            for herd, mine in zip(herds, readings, strict=True):
                days = (herd.calendar.until - herd.calendar.begin) / 86400
                context = episodes(herd.items, ("herd-disturbed", "cow-fails-everywhere"))
                key = "months" if name == MONTHS else "count"
                alerts = over(mine[key], bound, "bound")
                scores.append(score_boxes(episodes(herd.items, BOX_FAULTS), context, alerts, herd.spec.boxes, days))
            curves[name].append((bound, reduce(add, scores)))
    return curves


def draw(
    udders: Mapping[str, Sequence[Point]],
    boxes: Mapping[str, Sequence[tuple[float, BoxScore]]],
    shipped: tuple[UdderScore, BoxScore],
) -> None:
    """The three pictures, as SVG into `figures/`."""
    import matplotlib as mpl

    mpl.use("svg")
    mpl.rcParams |= {"svg.hashsalt": "sentinel", "svg.fonttype": "none", "font.size": 11, "axes.grid": True}
    udder, box = shipped
    found = 100 * udder.found["udder-clinical"].value
    _picture(
        "roc",
        "Found within 48 h, against healthy quarters flagged",
        ("healthy quarter milkings flagged, %", "clinical episodes found, %"),
        {n: [(100 * (1 - p.score.specific.value), 100 * p.clinical) for p in c] for n, c in udders.items()},
        (100 * (1 - udder.specific.value), found),
        goal=(1.0, 80.0),
        most=5.0,
    )
    _picture(
        "burden",
        "Found within 48 h, against the false alerts it costs",
        ("false udder alerts per 1,000 cow milkings", "clinical episodes found, %"),
        {n: [(p.score.false_per_1000, 100 * p.clinical) for p in c] for n, c in udders.items()},
        (udder.false_per_1000, found),
        goal=(6.0, 80.0),
        most=60.0,
    )
    _picture(
        "boxes",
        "Box faults found within 12 h, against the false alerts it costs",
        ("false alerts per box and year", "box faults found, %"),
        {n: [(s.false / s.box_years, 100 * s.all_found.value) for _, s in c] for n, c in boxes.items()},
        (box.false / box.box_years, 100 * box.all_found.value),
        goal=(1.0, 95.0),
        most=None,
    )


def _picture(
    name: str,
    title: str,
    axes: tuple[str, str],
    curves: Mapping[str, Sequence[tuple[float, float]]],
    shipped: tuple[float, float],
    goal: tuple[float, float],
    most: float | None,
) -> None:
    from matplotlib import pyplot as plt

    figure, plot = plt.subplots(figsize=(7.2, 4.6))
    for number, (label, points) in enumerate(curves.items()):
        colour, marker, line = STYLES[number]
        across, up = zip(*sorted(points), strict=True)
        plot.plot(across, up, line, color=colour, marker=marker, label=label, markersize=5)
    plot.plot(*shipped, marker="*", markersize=17, color="black", linestyle="none", label="the rules that ship")
    plot.plot(*goal, marker="+", markersize=15, markeredgewidth=2, color="black", linestyle="none", label="the goal")
    if most is None:
        plot.set_xscale("symlog", linthresh=1.0)
        plot.set_xlim(left=0)
        plot.xaxis.set_major_formatter("{x:g}")
    else:
        plot.set_xlim(0, most)
    plot.set_ylim(0, 102)
    plot.set(xlabel=axes[0], ylabel=axes[1])
    plot.set_title(title, fontsize=12)
    plot.legend(loc="lower right", fontsize=9)
    figure.tight_layout()
    FOLDER.mkdir(exist_ok=True)
    figure.savefig(FOLDER / f"{name}.svg", metadata={"Date": None, "Creator": None, "Title": title})
    plt.close(figure)


def equal_false(udders: Mapping[str, Sequence[Point]], shipped: UdderScore) -> list[tuple[str, str]]:
    """What each measure alone finds with as many false alerts as the rules that ship, as a plain bound."""
    return [
        (name, f"{100 * at_equal_false(points, shipped.false_per_1000):.0f} %")
        for name, points in udders.items()
        if name != EVIDENCE
    ]
