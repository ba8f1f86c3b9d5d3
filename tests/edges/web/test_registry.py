"""Every screen is registered once, and whole: a row whose view, template, handler, words or way in is missing fails."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from page_farm import AT, THERE, InMemory, as_person, browser, everything
from screens import addresses, checked, opens

import sentinel
from sentinel.edges.locales import catalogue
from sentinel.edges.web import app
from sentinel.edges.web.handlers import whole_farm
from sentinel.edges.web.screen import CHECKS, Screen
from sentinel.edges.web.screens import SCREENS

PACKAGE = Path(sentinel.__file__).parent
VIEWS, WEB, TESTS = PACKAGE / "flow" / "views", PACKAGE / "edges" / "web", Path(__file__).parents[2]
SHARED = {"base.html", "parts.html", "message.html"}
"""Templates of no screen: what all are built on, and a page that only says something."""

NO_SCREEN = {"whole_farm"}
"""The handler of no screen of its own: it shows any view of the whole farm."""


def modules(folder: Path) -> set[str]:
    """The names of the modules in a folder."""
    return {path.stem for path in folder.glob("*.py")} - {"__init__"}


def missing(screens: Sequence[Screen]) -> Iterator[str]:
    """What some rows lack, or what is there and has no row."""
    for one in screens:
        yield from (f"{one.address}: {said}" for said in _missing_of(one, screens))
    named = {one.name for one in screens}
    yield from (f"views/{name}.py has no row" for name in modules(VIEWS) - named)
    yield from (f"handlers/{name}.py has no row" for name in modules(WEB / "handlers") - NO_SCREEN - named)
    templates = {path.name for path in (WEB / "templates").iterdir()}
    yield from (f"{name} has no row" for name in templates - SHARED - {one.template for one in screens})
    addressed = [one.address for one in screens]
    yield from (f"{address} is there twice" for address in set(addressed) if addressed.count(address) > 1)


def _missing_of(one: Screen, screens: Sequence[Screen]) -> Iterator[str]:
    """What one row lacks."""
    handler = inspect.getmodule(one.handler)
    assert handler is not None
    if one.view is None:
        if one.handler is whole_farm.show:
            yield "shows the whole farm by no view"
    else:
        if one.view.__module__ != f"sentinel.flow.views.{one.name}":
            yield "its view has another name"
        if handler is not whole_farm and one.view not in vars(handler).values() and one.template:
            yield "its handler does not show its view"
        if not (TESTS / "flow" / "views" / f"test_{one.name}.py").is_file():
            yield "its view has no test"
    if handler is not whole_farm and handler.__name__ != f"sentinel.edges.web.handlers.{one.name}":
        yield "its handler has another name"
    if one.template:
        yield from _missing_of_template(one, screens)
    elif "weight" not in one.left_out:
        yield "it has no template and is weighed"
    if one.menu not in {entry.name for entry in screens if entry.mark}:
        yield "the menu has no such entry"
    if not set(one.left_out) <= set(CHECKS) or not all(one.left_out.values()):
        yield "it is left out of a check that there is not, or without a reason"


def _missing_of_template(one: Screen, screens: Sequence[Screen]) -> Iterator[str]:
    """What a row lacks of its template, its title and the way to it."""
    path = WEB / "templates" / one.template
    if not one.template.startswith(one.name):
        yield "its template has another name"
    if not path.is_file():
        yield "its template is not there"
    elif ("{% block title %}" in path.read_text(encoding="utf-8")) == bool(one.title):
        yield "its title stands in the row and in the template, or in neither"
    if one.listed_on or one.line:
        listing = [other.template for other in screens if other.name == one.listed_on and other.template]
        if not listing or "parts.lines(listed)" not in (WEB / "templates" / listing[0]).read_text(encoding="utf-8"):
            yield "the screen that is to list it lists none"
        if not one.line:
            yield "it is listed without words"
    german = catalogue("de")
    for text in filter(None, (one.title, one.line)):
        if german.gettext(text) == text:
            yield f"{text!r} has no German"


def test_no_screen_is_registered_by_half() -> None:
    """View, template, handler, test, title with its German, place in the menu: all there, and none without a row."""
    assert list(missing(SCREENS)) == []


HERD = replace(SCREENS[0], address="/new", mark="")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (replace(HERD, name="new"), "its view has another name"),
        (replace(HERD, template="new.html"), "its template is not there"),
        (replace(HERD, title=""), "its title stands in the row and in the template, or in neither"),
        (replace(HERD, title="No such title"), "'No such title' has no German"),
        (replace(HERD, menu="nowhere"), "the menu has no such entry"),
        (replace(HERD, listed_on="rules", line="Rules"), "the screen that is to list it lists none"),
        (replace(HERD, listed_on="more"), "it is listed without words"),
        (replace(HERD, view=None), "shows the whole farm by no view"),
        (replace(HERD, template=""), "it has no template and is weighed"),
        (replace(HERD, left_out={"golden": ""}), "it is left out of a check that there is not, or without a reason"),
        (replace(HERD, address="/more"), "/more is there twice"),
    ],
)
def test_a_screen_that_is_registered_by_half_is_found(row: Screen, said: str) -> None:
    """Each thing that a row may lack is seen by the test above."""
    assert any(said in one for one in missing([*SCREENS, row]))


@pytest.mark.parametrize("name", ["now", "cow", "rules"])
def test_what_has_no_row_is_found(name: str) -> None:
    """A view, a template or a handler that was written and not registered."""
    found = list(missing([one for one in SCREENS if one.name != name]))

    assert f"views/{name}.py has no row" in found
    assert f"{name}.html has no row" in found


def test_every_address_that_shows_a_page_is_a_screens() -> None:
    """What can be looked at without being in the registry is named here, and why."""
    site = app.make_app(InMemory(), "key", lambda: AT)
    looked_at = {route.path for route in site.routes if "GET" in route.methods}
    others = {
        *("/health", "/who", "/photo/{name}"),  # for programs, for the page's script, a picture
        *("/static/{name}", "/worker.js", "/manifest.webmanifest"),  # the same for everybody
        "/not-on-this-phone",  # what a phone shows in place of a page that it has not kept
        "/enter/{token}",  # leads to the first screen
    }

    assert looked_at - others == {one.address for one in SCREENS} == {one.address for one in checked("odd-requests")}


@pytest.mark.parametrize("one", SCREENS, ids=lambda one: one.address)
def test_a_stranger_sees_none_of_them_and_who_may_only_look_all(one: Screen) -> None:
    """But the page of an alert by its notice's link, which is what its address is: signed."""
    path = re.sub(r"\{(\w+)(?::\w+)?\}", lambda part: THERE.get(part[1], "not-signed"), one.address)
    farm = InMemory(tables=everything(), own={1: ("A guest", True, AT + 10**6)})
    by_link = "{token}" in one.address

    assert browser(farm).get(path).status_code == (404 if by_link else 401)
    assert as_person(farm, "A guest").get(path).status_code == (404 if by_link else 200)


def test_a_line_leads_to_every_screen() -> None:
    """Whatever opens without a number is linked from another page, so that nobody has to know its address."""
    phone = as_person(InMemory(tables=everything()))
    pages = {path: phone.get(path).text for path in addresses("weight", **THERE).values()}
    links = {link for path, text in pages.items() for link in re.findall(r'href="([^"?]+)', text) if link != path}

    assert [one.address for one in checked("golden") if not any(opens(one, link) for link in links)] == []


def test_a_title_stands_on_its_screen() -> None:
    """In the browser's tab, with the farm's name behind it."""
    phone = as_person(InMemory())
    titled = [one for one in SCREENS if one.title]
    shown = {one.address: re.findall("<title>(.*) · Test farm</title>", phone.get(one.address).text) for one in titled}

    assert shown == {one.address: [one.title] for one in titled}
