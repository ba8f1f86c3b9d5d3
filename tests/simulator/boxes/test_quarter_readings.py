"""What the boxes measure: an arm's shift is seen where it is, and nothing else changes."""

from __future__ import annotations

import numpy as np
import pandas as pd
from box_herd import BoxHerd, Trouble, day, tables_of

from sentinel.flow.tables import wide


def test_an_arm_shift_moves_one_axis_at_one_box_only() -> None:
    """Teats are seen 14 mm aside at the box with the fault while it lasts, and nowhere else."""
    # on the last day after the arm was looked over, so that no cow comes at another time because of it
    shift = Trouble(11.4, 13.5, box=1, shift_mm=(0.0, 14.0, 0.0))
    usual, shifted = (tables_of(BoxHerd(90, 2, 12, 3, troubles=t)).visits for t in ((), (shift,)))
    others = [name for name in usual if name not in wide("y_mm")]
    inside = (shifted["box"] == "2") & (shifted["start"] >= day(11.4)) & shifted["lf_y_mm"].notna()

    pd.testing.assert_frame_equal(usual[others], shifted[others])
    moved = (shifted[wide("y_mm")] - usual[wide("y_mm")]).to_numpy()
    assert np.allclose(moved[inside.to_numpy()], 14.0)
    assert np.nanmax(np.abs(moved[~inside.to_numpy()])) == 0
    assert inside.sum() > 50
