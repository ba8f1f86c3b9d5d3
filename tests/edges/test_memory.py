"""What measures kept for each other is let go of when a look is over."""

from __future__ import annotations

import gc
import weakref

from text_tables import table

from sentinel.edges.memory import give_back
from sentinel.flow.measures.box_case import Case
from sentinel.flow.tables import Tables


def test_the_case_that_box_measures_share_is_not_kept_after_the_look() -> None:
    """Until then the same frames have the same case."""
    tables = Tables(visits=table("visits", "cow  start  box  outcome\n7  00:00  1  milked"))
    case = Case.of(tables)
    assert Case.of(tables) is case
    kept = weakref.ref(case)
    del case
    gc.collect()
    assert kept() is not None
    give_back()
    gc.collect()
    assert kept() is None
