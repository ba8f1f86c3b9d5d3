"""What a batch may be besides one whole export read once: read once more, or one page of a collection."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reread:
    """Why an export that was read before counts otherwise now.

    `because` says it in terms of the farm's own files (`feeds/milkings.yaml: times iso → %d.%m.%Y`). `versions`: what
    the rows say of their own versions was read otherwise before, and is not held against them. `files`: of what is
    taken back each file whose earlier readings count no more, and whether its newest one does; None if the export is
    only read once more. `gone`: files that are not there any more to be read again: what they gave stays. `changed`: so
    many rows that are given still have other cells.
    """

    because: str
    versions: bool = False
    files: Mapping[str, bool] | None = None
    gone: Sequence[str] = ()
    changed: int = 0


@dataclass(frozen=True, slots=True)
class Page:
    """Which page (`number`, from 1) of how many a file is of a collection; `of` tells it from other collections."""

    of: str
    number: int
    pages: int
