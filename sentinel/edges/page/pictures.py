"""The charts of a page: which of them there are for what is shown, as safe markup."""

from __future__ import annotations

from markupsafe import Markup

from sentinel.edges.page.shown import Look
from sentinel.edges.page.words import Words
from sentinel.flow.model import Alert
from sentinel.flow.views.box import BoxPage
from sentinel.flow.views.cow import CowPage, QuarterPage
from sentinel.flow.views.story import Story
from sentinel.flow.views.tank import TankPage

Pictures = list[Markup]


def of_alert(alert: Alert, story: Story, look: Look, words: Words) -> Pictures:
    """The charts that show why an alert was raised."""
    return []


def of_cow(page: CowPage, look: Look, words: Words) -> Pictures:
    """A cow's milk and milkings."""
    return []


def of_quarter(page: QuarterPage, look: Look, words: Words) -> Pictures:
    """A quarter against the others."""
    return []


def of_box(page: BoxPage, look: Look, words: Words) -> Pictures:
    """A box's failures."""
    return []


def of_tank(page: TankPage, look: Look, words: Words) -> Pictures:
    """A tank's temperature, cells and bacteria."""
    return []
