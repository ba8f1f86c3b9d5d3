"""The median of what is known, and of how many values: faster than NumPy's `nanmedian` on many short rows."""

from __future__ import annotations

import numpy as np


def median_known(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The median along the last axis of what is not NaN (NaN if nothing is), and how many they are.

    >>> [part.tolist() for part in median_known(np.array([[1.0, np.nan, 9.0, 2.0]]))]
    [[2.0], [3]]
    """
    upward = np.sort(values, axis=-1)  # NaN goes last
    width = values.shape[-1]
    number = np.count_nonzero(~np.isnan(upward), axis=-1)
    centre = (upward[..., (width - 1) // 2] + upward[..., width // 2]) / 2.0
    fewer = np.nonzero(number < width)
    few = number[fewer]
    low, high = np.maximum((few - 1) // 2, 0), np.minimum(few // 2, width - 1)
    centre[fewer] = (upward[(*fewer, low)] + upward[(*fewer, high)]) / 2.0
    return centre, number
