"""What a handler is given of one request: the farm's page, what is asked, who asks, and as which screen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from sentinel.edges.web.auth.visitors import Visitor
from sentinel.edges.web.farm_reader import FarmReader
from sentinel.edges.web.page_language import PageLanguage
from sentinel.edges.web.screen import Screen
from sentinel.edges.web.site import Site
from sentinel.edges.web.templating import filled
from sentinel.flow.views.parts.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class RequestContext:
    """One request of somebody who may see the screen."""

    site: Site
    request: Request
    visitor: Visitor
    screen: Screen

    @property
    def reader(self) -> FarmReader:
        """What may be asked of the farm."""
        return self.site.reader

    @property
    def words(self) -> PageLanguage:
        """The farm's language and habits."""
        return self.site.words()

    def parameter(self, name: str) -> Any:
        """A part of the address."""
        return self.request.path_params[name]

    def snapshot(self) -> Snapshot:
        """The farm as it is known now, in its words."""
        return replace(self.reader.snapshot(), words=self.words, person=self.visitor.person)

    def confirmation(self) -> str:
        """What was said to the form that brought the browser here; empty if none did."""
        number = self.request.query_params.get("told", "")
        if number == "already":
            return self.words.say("Already recorded.")
        return (self.reader.said_of(f"{self.visitor.person}/{number}") or "") if number else ""

    def page(self, snapshot: Snapshot | None = None, status: int = 200, **values: Any) -> Response:
        """The screen's template filled in, as of the snapshot's moment."""
        at = self.site.now() if snapshot is None else snapshot.at
        return filled(self.site, self.screen.template, self.visitor, at, status, self.screen, **values)
