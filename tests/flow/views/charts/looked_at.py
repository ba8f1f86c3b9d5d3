"""A chart looked at as XML, with what every chart must hold: what the tests of charts share."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from view_farm import AT

from sentinel.flow.language import english
from sentinel.flow.model import HOUR_S
from sentinel.flow.views.charts import (
    Picture,
)
from sentinel.flow.views.charts.draw import WIDTH
from sentinel.flow.views.quarter import QuarterPage, QuarterReading

SVG = "{http://www.w3.org/2000/svg}"
WORDS = english("UTC", ",")
SMALL = 12_000


def read(picture: Picture, wide: float = WIDTH) -> ElementTree.Element:
    """The chart as XML, with what every chart must have looked at; all but the smallest are as wide as a phone."""
    root = ElementTree.fromstring(picture.svg)
    title, said = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert said is not None
    assert (root.get("role"), title.text, said.text) == ("img", picture.title, " ".join(picture.sentences))
    assert root.get("aria-labelledby") == title.get("id")
    assert root.get("aria-describedby") == said.get("id")
    assert (root.get("viewBox") or "").startswith(f"0 0 {wide:g} ")
    for part in root.iter():
        assert not {"style", "onload", "href"} & set(part.attrib)
        assert {part.get("fill"), part.get("stroke")} <= {None, "none", "currentColor"}
    assert "nan" not in re.sub(r"<(title|desc|text).*?</\1>", "", picture.svg)
    assert len(picture.svg) < SMALL
    return root


def texts(root: ElementTree.Element) -> list[str]:
    """The words drawn."""
    return [part.text or "" for part in root.iter(f"{SVG}text")]


def count(root: ElementTree.Element, kind: str, step: str) -> int:
    """How often a step stands in the paths of a class."""
    return sum((part.get("d") or "").count(step) for part in root.iter(f"{SVG}path") if part.get("class") == kind)


def readings(*values: tuple[float, float | None, bool]) -> QuarterPage:
    """Milkings every 8 h up to `AT`: (own, others, cup came off)."""
    found = [
        QuarterReading(AT - 8 * HOUR_S * n, "1", own, others, 3.0, 3.0, off)
        for n, (own, others, off) in enumerate(reversed(values))
    ]
    return QuarterPage("217", "LF", tuple(found), ())
