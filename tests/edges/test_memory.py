"""What the database kept at hand is let go of when a look is over, and garbage is found."""

from __future__ import annotations

import gc
import subprocess
import sys
import weakref

import pytest

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


APART = """
import ctypes, sys
import numpy as np
from sentinel.edges.memory import keep_large_apart

class Told(ctypes.Structure):
    _fields_ = [(name, ctypes.c_size_t) for name in "arena free small apart apart_bytes a b used unused top".split()]

told = ctypes.CDLL(None).mallinfo2
told.restype = Told
if sys.argv[1] == "apart":
    keep_large_apart()
for size in (1_000_000, 20_000_000):  # the C library takes from each that goes that such sizes come and go
    column = np.empty(size, np.int8)
    del column
before = told().apart_bytes
column = np.empty(2_000_000, np.int8)
print(told().apart_bytes - before)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="only the C library of Linux is asked")
@pytest.mark.parametrize(("how", "lies_apart"), [("apart", True), ("as it comes", False)])
def test_a_column_lies_apart_so_that_it_goes_back_whole(how: str, lies_apart: bool) -> None:
    """Whatever has come and gone before; without being asked the C library does not do so for long."""
    said = subprocess.run([sys.executable, "-c", APART, how], capture_output=True, text=True, check=True, timeout=60)

    assert (int(said.stdout) >= 2_000_000) is lies_apart
