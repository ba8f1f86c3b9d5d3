"""What is declared about a screen, once: the shape of a row of the registry in `screens`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from starlette.requests import Request
from starlette.responses import Response

from sentinel.edges.web.auth.visitors import Visitor, known

if TYPE_CHECKING:
    from sentinel.edges.web.request_context import RequestContext
    from sentinel.edges.web.site import Site

CHECKS = ("accessibility", "weight", "odd-requests", "screenshots", "golden")
"""What the tests do with every screen that does not say why it is left out."""


@dataclass(frozen=True, slots=True)
class Screen:
    """One screen.

    `name`: that of its view's module, of its handler's (unless `whole_farm` shows it) and of its template.
    `address`: where it opens, with its parameters. `view`: what it shows, None if nothing of the farm.
    `menu`: the entry of the menu under which it lies. `title`: in English, as the catalogues translate it; empty where
    the template says it, as it names what it is about. `mark`: the sign before its title, if it is an entry of the
    menu itself. `listed_on`: the screen that has a line leading here, and `line` what that says. `template`: empty for
    a file to take along. `admits`: who may see it; it raises HTTPException for anybody else. `left_out`: the checks of
    the tests in which it is not, each with the reason.
    """

    name: str
    address: str
    handler: Callable[[RequestContext], Response]
    view: Callable[..., Any] | None
    menu: str
    title: str = ""
    mark: str = ""
    listed_on: str = ""
    line: str = ""
    template: str = ""
    admits: Callable[[Site, Request], Visitor] = known
    left_out: Mapping[str, str] = field(default_factory=dict)
