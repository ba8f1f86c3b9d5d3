"""One farm's page as an app: what it reads, by which key it knows people, by which clock, and its screens."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from sentinel.edges.web.auth.attempts import Attempts
from sentinel.edges.web.farm_reader import FarmReader
from sentinel.edges.web.page_language import PageLanguage

if TYPE_CHECKING:
    from sentinel.edges.web.screen import Screen


@dataclass(slots=True)
class Site:
    """What all requests share. `now` gives UTC seconds; `secure`: phones reach the page by https."""

    reader: FarmReader
    secret_key: str
    now: Callable[[], int]
    secure: bool
    screens: tuple[Screen, ...]
    attempts: Attempts = field(default_factory=Attempts)

    def words(self) -> PageLanguage:
        """The farm's language and habits."""
        farm = self.reader.farm()
        return PageLanguage(farm.language, farm.decimal, farm.zone)

    def screen(self, name: str) -> Screen:
        """The first screen of this name."""
        return next(screen for screen in self.screens if screen.name == name)

    def menu(self) -> list[Screen]:
        """The screens that are entries of the menu, in order."""
        return [screen for screen in self.screens if screen.mark]

    def listed_on(self, name: str) -> list[Screen]:
        """The screens to which a screen of this name has a line that leads there."""
        return [screen for screen in self.screens if screen.listed_on == name]
