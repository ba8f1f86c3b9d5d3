"""What was worked out of tables is kept with them, and holds for the very same frames only."""

from __future__ import annotations

import gc
import weakref
from dataclasses import replace

from text_tables import table

from sentinel.flow.derived import Derived
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.tables import Tables


def test_a_result_is_made_once_for_the_same_objects() -> None:
    """Equal ones are not the same; of each name only the last result is kept."""
    derived, first, second = Derived(), [1], [1]
    made = [derived.of("a", (one, True), object) for one in (first, first, second, first)]

    assert made[0] is made[1]
    assert len({id(one) for one in made}) == 3


def test_what_is_brief_is_let_go() -> None:
    """The rest stays."""
    derived, key = Derived(), (1,)
    long, brief = derived.of("long", key, object), derived.of("brief", key, object, brief=True)
    derived.let_go()

    assert derived.of("long", key, object) is long
    assert derived.of("brief", key, object) is not brief


def test_tables_with_another_frame_keep_what_rests_on_the_others() -> None:
    """It is carried along, and is no part of what the tables are."""
    tables = Tables()
    other = replace(tables, visits=tables.visits.copy())
    assert other.derived is tables.derived
    assert Tables().derived is not tables.derived


def test_the_case_that_box_measures_share_is_not_kept_after_a_decision() -> None:
    """Until then the same frames have the same case; afterwards nothing holds it, not even itself."""
    tables = Tables(visits=table("visits", "cow  start  box  outcome\n7  00:00  1  milked"))
    case = Case.of(tables)
    assert Case.of(tables) is case
    kept = weakref.ref(case)
    del case
    gc.collect()
    assert kept() is not None
    tables.derived.let_go()
    assert kept() is None
