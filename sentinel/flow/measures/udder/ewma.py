"""The exponentially weighted moving average: of one series, its limits, and of the last few readings of many series.

z_t = w y_t + (1 - w) z_(t-1), begun at the target (NIST/SEMATECH e-Handbook 6.3.2.4).
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

WEIGHT = 0.40
WIDTH = 3.054
"""The weight of the newest reading, and how many standard deviations the limit is wide.

Lucas and Saccucci 1990, Technometrics 32:1-12 (this pair from memory): on independent readings without a fault such a
chart passes one of its two limits once in 500 readings, and it sees a shift of one standard deviation after 14.3.
Milkings are not quite independent, so it is more often here. A large weight, as an udder changes within a day.
"""

READINGS = 12
"""So many readings are averaged. What is older would weigh (1 - 0.40)^12 = 0.2 % together."""


def ewma(values: Iterable[float], weight: float, start: float) -> np.ndarray:
    """The moving average of one series after each of its values, begun at `start`, in the values' unit.

    >>> ewma([52.0, 47.0, 53.0, 49.3], 0.3, 50.0).round(2).tolist()
    [50.6, 49.52, 50.56, 50.18]
    """
    averages = []
    average = start
    for value in values:
        average = weight * value + (1.0 - weight) * average
        averages.append(average)
    return np.array(averages)


def ewma_sd(weight: float, sd: float, number: int | np.ndarray) -> np.ndarray:
    """The standard deviation of the average of `number` independent values that have the standard deviation `sd`.

    sd x sqrt(w / (2 - w) x (1 - (1 - w)^(2 number))); after one value it is w x sd.
    """
    return np.asarray(sd * np.sqrt(weight / (2.0 - weight) * (1.0 - (1.0 - weight) ** (2.0 * np.asarray(number)))))


def ewma_of_last(lagged: Iterable[np.ndarray], weight: float) -> tuple[np.ndarray, np.ndarray]:
    """The moving average, begun at 0, of each series' last readings, and how many they are.

    `lagged` gives the readings the oldest first and the newest last, each an array with one place per series, NaN
    where there is none: such a place is passed over. As it begins anew at a fixed number of readings back, the
    average is the same to the last bit wherever the data begin; it differs from one that was never begun anew by at
    most (1 - weight)^number of that one's value then.
    """
    average: np.ndarray | None = None
    number: np.ndarray | None = None
    for readings in lagged:
        if average is None or number is None:
            average, number = np.zeros(readings.shape), np.zeros(readings.shape, np.int64)
        has = ~np.isnan(readings)
        average = np.where(has, weight * readings + (1.0 - weight) * average, average)
        number = number + has
    if average is None or number is None:
        raise ValueError("at least one reading per series is needed")
    return average, number
