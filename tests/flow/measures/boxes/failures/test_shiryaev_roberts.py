"""Evidence that grows try by try: against the sum as its definition writes it, and never more often than by chance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.measures.boxes.failures.shiryaev_roberts import ALTERNATIVES, SPAN_S, Grown, grown, ratios
from sentinel.flow.model import HOUR_S


def of_tries(failed: list[bool], chance: float = 0.05, most: float = 1e60, at: list[int] | None = None) -> Grown:
    """The evidence at tries of one box, every ten minutes from the begin of a half day on unless said."""
    n = len(failed)
    moments = np.array(at if at is not None else [SPAN_S * 1000 + 600 * i for i in range(n)], np.int64)
    return grown(
        np.zeros(n, np.int64), moments, np.full(n, chance), np.array(failed, bool), np.full(n, most),
        counts=np.ones(n, bool), asked=np.arange(n),
    )  # fmt: skip


def test_a_failure_multiplies_the_evidence_by_its_likelihood_ratio() -> None:
    """Of odds r times as high: r / (1 - p + r p) for a failure and 1 / (1 - p + r p) else; their mean is one."""
    p = 0.05
    lost, went = (ratios(np.array([p]), np.array([failed]))[0] for failed in (True, False))

    assert lost == pytest.approx([r / (1 - p + r * p) for r in ALTERNATIVES])
    assert went == pytest.approx([1 / (1 - p + r * p) for r in ALTERNATIVES])
    assert p * lost + (1 - p) * went == pytest.approx([1.0] * len(ALTERNATIVES))


@given(st.lists(st.booleans(), min_size=1, max_size=40), st.floats(0.01, 0.5))
def test_the_evidence_is_the_sum_over_all_beginnings(failed: list[bool], chance: float) -> None:
    """R(t) = (1 + R(t - 1)) x ratio(t), of each alternative by itself, and the mean of the three."""
    each = ratios(np.full(len(failed), chance), np.array(failed))
    wanted = []
    for t in range(len(failed)):
        beginnings = [np.prod(each[begin : t + 1], axis=0) for begin in range(t + 1)]
        wanted.append(float(np.mean(np.sum(beginnings, axis=0))))

    assert of_tries(failed, chance).sum == pytest.approx(wanted, rel=1e-9)


def test_the_likeliest_beginning_is_the_first_failure_of_a_run() -> None:
    """What went well before it speaks against an earlier one."""
    found = of_tries([False] * 20 + [True] * 5)

    assert found.begun[-1] == 20
    assert found.sum[-1] > 1000 * found.sum[19]


def test_the_evidence_never_passes_its_most_so_that_it_falls_soon() -> None:
    """After thirty failures a few good tries are enough."""
    capped = of_tries([True] * 30 + [False] * 10, most=100.0)

    assert capped.sum.max() == pytest.approx(100.0)
    assert capped.sum[-1] < 50 < of_tries([True] * 30 + [False] * 10).sum[-1]


def test_a_try_that_does_not_count_and_one_not_asked_for_add_nothing() -> None:
    """The first leaves the evidence with one more beginning only; the other is not worked out at all."""
    n, moments = 3, np.array([0, 600, 5 * SPAN_S], np.int64)
    tried = (np.zeros(n, np.int64), moments, np.full(n, 0.05), np.array([True, True, True]), np.full(n, 1e9))
    without = grown(*tried, counts=np.array([True, False, True]), asked=np.arange(n))
    part = grown(*tried, counts=np.ones(n, bool), asked=np.array([2]))

    assert without.sum[1] == pytest.approx(without.sum[0] + 1)
    assert part.sum[:2].tolist() == [0.0, 0.0]
    assert part.sum[2] > 0


@given(st.lists(st.integers(0, 4 * SPAN_S), min_size=1, max_size=40).map(sorted), st.data())
def test_it_does_not_depend_on_where_the_data_begins(at: list[int], data: st.DataObject) -> None:
    """What lies before the half day before is never looked at."""
    failed = data.draw(st.lists(st.booleans(), min_size=len(at), max_size=len(at)))
    begin = (at[-1] // SPAN_S - 1) * SPAN_S
    late = [n for n, moment in enumerate(at) if moment >= begin]
    whole, part = of_tries(failed, at=at), of_tries([failed[n] for n in late], at=[at[n] for n in late])

    assert part.sum[-1] == whole.sum[-1]
    assert SPAN_S == 12 * HOUR_S


def test_without_a_trouble_the_evidence_grows_by_one_with_each_try() -> None:
    """In the mean over many boxes, which bounds how often chance passes a bound (Pollak 1985, from memory)."""
    boxes, tries, p = 20_000, 10, 0.2
    n = boxes * tries
    failed = np.random.default_rng(7).random(n) < p
    group, at = np.repeat(np.arange(boxes), tries), np.tile(np.arange(tries) * 600, boxes)
    found = grown(group, at, np.full(n, p), failed, np.full(n, 1e9), counts=np.ones(n, bool), asked=np.arange(n))

    assert found.sum.reshape(boxes, tries).mean(axis=0) == pytest.approx(np.arange(1, tries + 1), rel=0.1)
