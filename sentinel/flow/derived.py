"""What was worked out from a set of tables once, so that the next caller need not work it out again."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

T = TypeVar("T")


class Derived:
    """Results by name, each with the very objects that it rests on; may be asked from several threads.

    Tables carry it along where some of their frames are replaced, as the others' results still hold then. Frames are
    never changed, so a result holds as long as it is asked of the same ones; of each name the last one is kept.
    """

    def __init__(self) -> None:
        self._kept: dict[str, tuple[tuple[object, ...], Any]] = {}
        self._brief: set[str] = set()

    def of(self, name: str, rests_on: tuple[object, ...], make: Callable[[], T], *, brief: bool = False) -> T:
        """The result of that name, made if it is not kept; `brief`: it is large, and not asked for after a decision."""
        kept = self._kept.get(name)
        if kept is not None and all(one is other for one, other in zip(kept[0], rests_on, strict=True)):
            result: T = kept[1]
            return result
        made = make()
        self._kept[name] = (rests_on, made)
        if brief:
            self._brief.add(name)
        return made

    def let_go(self) -> None:
        """Keep no brief result any longer: when all rules have been judged, it is only memory until other rows come."""
        for name in tuple(self._brief):
            self._kept.pop(name, None)
