"""A template filled in, with the texts of the farm's language and with what every page needs."""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape
from starlette.responses import HTMLResponse, Response

from sentinel.edges.locales import catalogue
from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.auth.links import form_token
from sentinel.edges.web.auth.visitors import Visitor, keep_session
from sentinel.edges.web.screen import Screen
from sentinel.edges.web.site import Site
from sentinel.flow import language
from sentinel.flow.language import fill
from sentinel.flow.notices.wording import BOX_CAUTION, course_words, headline

HERE = Path(__file__).parent
TEMPLATES = HERE / "templates"
STATIC = HERE / "static"


@lru_cache(maxsize=1)
def version() -> str:
    """A short name for what the static files and templates are now, so that a browser never mixes two versions."""
    digest = hashlib.sha256()
    for path in sorted((*STATIC.iterdir(), *TEMPLATES.iterdir())):
        if path.is_file():
            digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


_UNIT_AFTER_FIGURE = re.compile(r"(?<=\d) (?=(?:%|mm|mS/cm|kg|h|min|°C|k/ml)(?!\w))")


def glued(text: str) -> str:
    """A sentence in which no line ends between a figure and its unit."""
    return _UNIT_AFTER_FIGURE.sub("\N{NO-BREAK SPACE}", text)


@lru_cache(maxsize=4)
def templates(code: str) -> Environment:
    """The templates with the texts of one language."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    environment.filters["headline"] = headline
    environment.filters["glued"] = glued
    environment.filters["course"] = course_words
    environment.filters["upper_first"] = upper_first
    environment.filters["to_five_minutes"] = to_five_minutes
    environment.globals["box_caution"] = BOX_CAUTION
    plain = language.Words(texts=catalogue(code))

    def markup(text: str, values: Mapping[str, object]) -> Markup:
        return Markup(fill(text, {name: escape(value) for name, value in values.items()}, form=plain.form))

    environment.install_gettext_callables(  # type: ignore[attr-defined]
        lambda text, **values: markup(plain.say(text), values),
        lambda one, many, num, **values: markup(plain.several(one, many, num), {"num": num, **values}),
        pgettext=lambda about, text, **values: markup(plain.texts.pgettext(about, text), values),
    )
    return environment


def _number() -> str:
    """A number for what a form says, under which it is taken once."""
    return secrets.token_hex(12)


def upper_first(text: str) -> str:
    """A text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def to_five_minutes(seconds: float) -> int:
    """A time in minutes as one says about how long it takes: to the next five."""
    return max(5, 5 * round(seconds / 300))


def filled(
    site: Site, template: str, visitor: Visitor | None, at: int, status: int, screen: Screen | None, **values: Any
) -> Response:
    """One template filled in, with the headers of every page and, if it is time, a session begun anew."""
    farm = site.reader.farm()
    text = (
        templates(farm.language)
        .get_template(template)
        .render(
            words=site.words(),
            farm=farm,
            at=at,
            screen=screen,
            menu=site.menu(),
            listed=site.listed_on(screen.name) if screen else [],
            visitor=visitor,
            may_answer=visitor is not None and not visitor.access.read_only,
            token=form_token(visitor.session, site.secret_key) if visitor else "",
            number=_number,
            numbers=lru_cache(maxsize=None)(lambda about: _number()),
            version=version(),
            troubles=site.reader.troubles() if visitor else [],
            **values,
        )
    )
    response = HTMLResponse(text, status, HEADERS)
    if visitor is not None:
        keep_session(site, response, visitor)
    return response


def message(
    site: Site,
    title: str,
    *lines: str,
    status: int = 200,
    visitor: Visitor | None = None,
    links: Sequence[tuple[str, str]] = (),
) -> Response:
    """A page that only says something; `links`: addresses that it leads to, each with its words."""
    return filled(site, "message.html", visitor, site.now(), status, None, title=title, lines=lines, links=links)
