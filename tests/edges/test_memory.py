"""What the database kept at hand is let go of when a look is over, and garbage is found."""

from __future__ import annotations

import gc
import weakref

from sentinel.edges.memory import give_back, settle
from sentinel.edges.store import Store


class _Ring:
    """Something that only the search for garbage finds."""

    def __init__(self) -> None:
        self.itself = self


def test_garbage_of_a_look_goes_even_after_everything_was_taken_as_there_to_stay() -> None:
    """What was made before stays unlooked at; what a look leaves behind is found at once."""
    settle()
    try:
        left = weakref.ref(_Ring())
        give_back(Store(None).shrink_memory)
        assert left() is None
    finally:
        gc.unfreeze()


def test_the_database_lets_go_of_its_pages() -> None:
    """It is asked once for each time that memory is given back."""
    asked: list[bool] = []
    give_back(lambda: asked.append(True))
    assert asked == [True]
