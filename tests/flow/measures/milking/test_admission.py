"""Why a cow was let go unmilked."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.milking.admission import least_interval_s, let_go

HOUR_S = 3600


def hours(*moments: float) -> np.ndarray:
    """Moments in hours as seconds."""
    return np.array([int(moment * HOUR_S) for moment in moments], dtype=np.int64)


def test_a_refusal_shortly_after_a_milking_is_not_due() -> None:
    """Sooner than she is usually milked again; past that the export does not say why, and so it says."""
    milked = hours(0, 8, 16, 24, 32, 40)

    assert let_go(hours(3, 15.9, 42, 48, 60), milked) == [
        "not_due",
        "not_due",
        "not_due",
        "not_admitted",
        "not_admitted",
    ]


def test_her_usual_is_that_of_nine_in_ten_intervals() -> None:
    """One odd short interval among many, or a day and more without a milking, does not change it."""
    every_eight = [8 * n for n in range(20)]

    assert least_interval_s(hours(*every_eight)) == 8 * HOUR_S
    assert least_interval_s(hours(*every_eight, 153.5)) == 8 * HOUR_S
    assert least_interval_s(hours(*every_eight, 300)) == 8 * HOUR_S


def test_with_few_milkings_nothing_is_told() -> None:
    """Four intervals are too few; nor is anything told of a refusal before the first milking that is known."""
    assert least_interval_s(hours(0, 8, 16, 24, 32)) is None
    assert let_go(hours(1), hours(0, 8, 16, 24, 32)) == ["not_admitted"]
    assert let_go(hours(1), hours()) == ["not_admitted"]
    assert let_go(hours(1, 11), hours(10, 18, 26, 34, 42, 50)) == ["not_admitted", "not_due"]
