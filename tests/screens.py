"""The screens that a test looks at, read from the registry: a new one is in every list, unless its row says why not."""

from __future__ import annotations

import re

from sentinel.edges.web.screen import CHECKS, Screen
from sentinel.edges.web.screens import SCREENS


def checked(check: str) -> list[Screen]:
    """The screens that one of the tests' checks looks at, in the registry's order."""
    assert check in CHECKS
    return [screen for screen in SCREENS if check not in screen.left_out]


def addresses(check: str, **values: str) -> dict[str, str]:
    """Their addresses by the names of their templates; `values` are what stands for `{cow}` and its like.

    >>> addresses("weight", alert="17", cow="217", quarter="LF", box="2", tank="1", rule="late")["quarter"]
    '/cow/217/LF'
    """
    return {screen.template.removesuffix(".html"): _filled(screen.address, values) for screen in checked(check)}


def _filled(address: str, values: dict[str, str]) -> str:
    return re.sub(r"\{(\w+)(?::\w+)?\}", lambda place: values[place[1]], address)


def opens(screen: Screen, path: str) -> bool:
    """Whether a path is one of a screen's addresses."""
    parts = re.split(r"\{[^}]*\}", screen.address)
    return re.fullmatch("[^/]+".join(map(re.escape, parts)), path) is not None
