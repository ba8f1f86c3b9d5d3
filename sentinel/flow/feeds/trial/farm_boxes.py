"""Boxes that exports or maps name and farm.yaml does not: nothing waits for them, and no chore is due at them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from sentinel.flow.bounds import legible
from sentinel.flow.feeds.trial.tried import MapFile, Tried
from sentinel.flow.model import Batch, Problem, Source
from sentinel.flow.ordering import natural_key
from sentinel.flow.yaml.text import Document

MOST = 24
"""So many names are told; of more the column is hardly that of boxes."""


def boxes_in(batch: Batch) -> dict[str, int]:
    """The boxes that the rows of a file name, each with its first line."""
    found: dict[str, int] = {}
    for part in batch.rows:
        if "box" in part.columns:
            place = part.columns.index("box")
            for row, line in zip(part.values, part.lines, strict=True):
                if row[place]:
                    found.setdefault(str(row[place]), line)
    return found


def strange_box(box: str, where: str, boxes: Sequence[str]) -> str:
    """What is said of a box that the farm has not named; `boxes` are those it has."""
    return f"box {legible(box)} stands in {where} and not among the farm's boxes{_near(box, boxes)}"


def boxes_not_named(farm: Document, maps: Sequence[MapFile], feeds: Sequence[Tried]) -> Iterator[Problem]:
    """One question for all boxes that farm.yaml does not name, with what it would then say."""
    given = farm.data.get("boxes") if isinstance(farm.data, Mapping) else None
    boxes = [str(one) for one in given] if isinstance(given, list) else []
    met = _met(maps, feeds)
    strange = sorted((box for box in met if box not in boxes), key=natural_key)
    if not strange:
        return
    said = [strange_box(strange[0], met[strange[0]], boxes)]
    said += [f"so do{'es' if len(strange) == 2 else ''} {', '.join(map(legible, strange[1:MOST]))}"] * (
        len(strange) > 1
    )
    # Where no box of the farm's is met and as many others are, they are rather the same ones by other names.
    renamed = len(strange) >= len(boxes) and not set(boxes) & set(met)
    kept = strange if renamed else [*boxes, *strange]
    todo = ", ".join(map(legible, sorted(kept, key=natural_key)[:MOST]))
    yield Problem(
        farm.source(("boxes",)) if given is not None else Source(farm.name),
        f"boxes: {'; '.join(said)}: if it is one, write boxes: [{todo}], as the exports call them; until then nobody "
        "is told when it stands, and nothing is due there",
    )


def _met(maps: Sequence[MapFile], feeds: Sequence[Tried]) -> dict[str, str]:
    """Each box that a file or a map names, with where it stands first."""
    met: dict[str, str] = {}
    for of in feeds:
        for batch in of.batches:
            for box, line in boxes_in(batch).items():
                met.setdefault(box, f"{legible(batch.file)}:{line}")
    for one in maps:
        for table, mapped in (one.feed.table_maps if one.feed is not None else {}).items():
            field = mapped.fields().get("box")
            if field is not None and field.value is not None:
                met.setdefault(str(field.value), str(one.place(*one.steps(table, "box"))))
    return met


def _near(box: str, boxes: Sequence[str]) -> str:
    """The farm's box that is likely meant, if one is written nearly so: 01 for 1, MP1 for 1."""
    digits = _number(box)
    near = [one for one in boxes if digits and _number(one) == digits]
    return f" (is it {legible(near[0])}?)" if len(near) == 1 else ""


def _number(name: str) -> str:
    """The figures that a name ends in, without leading zeros."""
    end = len(name.rstrip("0123456789"))
    return name[end:].lstrip("0")
