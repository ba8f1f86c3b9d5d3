"""Odd requests to the page, as hypothesis draws them: addresses, forms, lists that a phone kept, bytes, headers."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from hypothesis import strategies as st

HUGE = ["9" * 5000, str(2**63), str(-(2**63) - 1), str(10**18), "-1", "0", "1e999", "Infinity", "-Infinity", "NaN"]
ODD_TEXTS = [
    *("²", "½", "१७", "１７", "", " ", "1 7", "+1", "1.5", "0x11", "1_000", "true", "null", "[]", "{}"),
    *("\0", "1\0", "\x1b[31m", "\u202e", "\ufffd", "😀", "a" * 3000, "../../page.key", "%", "%s", "%(person)s"),
    *("{0}", "{{7*7}}", "<script>", "'; drop table log; --", "\r\nSet-Cookie: a=b", "0001-01-01", "9999-12-31"),
    *("2026-W01-1", "20260101", "1969-12-31", "217/LF", "quarter:217/LF", "//", "[", "]", "http://["),
]
texts = st.one_of(st.sampled_from([*HUGE, *ODD_TEXTS, "1", "17"]), st.text(max_size=30))
addressed = texts.map(lambda text: text.encode("utf-8", "replace").decode())
values = st.recursive(
    st.one_of(
        *(st.none(), st.booleans(), st.integers(), st.floats(), texts, st.text("\ud800\udfff\x00²5", max_size=4)),
        st.sampled_from([2**63, -(2**63) - 1, 10**30, float("inf"), float("-inf"), float("nan"), 1e300, 1.0, 1.5]),
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=5), inner, max_size=3)),
    max_leaves=5,
)
FIELDS = [
    *("kind", "alert", "finding", "note", "number", "at", "until", "clock", "hand_to", "chore", "place", "person"),
    *("token", "each", "undoes", "done_at", "record_place"),
]
KINDS = ["answer", "put-off", "hand", "done", "undone"]
KINDS_OF_BODY = ("application/json", "multipart/form-data; boundary=x", "application/x-www-form-urlencoded")
ASKED_FOR = ("q", "told", "v", "from", "to", "kind", "subject", "person", "finding", "rule", "alert")


@dataclass(frozen=True, slots=True)
class Asked:
    """One request. `known`: as somebody known to the page."""

    method: str
    path: str
    query: str = ""
    body: bytes = b""
    headers: Mapping[str, str] = field(default_factory=dict)
    known: bool = False


def routes(app: Any) -> list[tuple[str, str]]:
    """Every address of the page with each thing that can be done there."""
    return sorted(
        (method, route.path) for route in app.routes for method in (*route.methods, "PUT") if method not in ("HEAD",)
    )


@st.composite
def addresses(draw: st.DrawFn, of: Sequence[tuple[str, str]]) -> Asked:
    """All routes, with odd names and numbers in the address and behind it, with and without access."""
    method, path = draw(st.sampled_from(of))
    path = re.sub(r"\{[^}]*\}", lambda _: draw(addressed), path)
    query = urlencode(draw(st.dictionaries(st.sampled_from(ASKED_FOR), addressed, max_size=4)))
    return Asked(method, path, query, known=draw(st.booleans()))


@st.composite
def forms(draw: st.DrawFn, token: str, notice: str) -> Asked:
    """Forms of alerts, of the round and of a notice's link, with odd fields, half of them with the right token."""
    fields: dict[str, str] = draw(st.dictionaries(st.sampled_from(FIELDS), addressed, max_size=8))
    fields["kind"] = draw(st.sampled_from([*KINDS, fields.get("kind", "")]))
    if draw(st.booleans()):
        fields["token"] = token
    path = draw(st.sampled_from(["/alert/1", "/round", notice, "/leave", "/kept", "/kept/photo"]))
    kind = draw(st.sampled_from(["application/x-www-form-urlencoded", "text/plain", "multipart/form-data", ""]))
    known = draw(st.booleans())
    return Asked("POST", path, "", urlencode(fields).encode(), {"content_type": kind} if known else {}, known)


@st.composite
def kept(draw: st.DrawFn) -> tuple[Asked, str]:
    """What a phone kept: one bad thing and a good one beside it; the good one's number as well."""
    bad = draw(st.one_of(values, st.dictionaries(st.sampled_from(FIELDS), values, max_size=9)))
    if isinstance(bad, dict) and draw(st.booleans()):
        bad = {**bad, "kind": draw(st.sampled_from(KINDS)), "alert": draw(st.one_of(st.just(1), values))}
    number = f"good-{draw(st.integers(0, 10**12)):012}"
    good = {"number": number, "alert": 1, "finding": "optics dirty"}
    body = json.dumps({"items": draw(st.permutations([bad, good]))}).encode()
    return Asked("POST", "/kept", "", body, {"content_type": "application/json"}, True), number


def taking(notice: str) -> tuple[str, ...]:
    """The addresses that take something."""
    return "/kept", "/kept/photo", "/alert/1/photo", "/alert/1", "/round", notice, "/leave"


noise = st.tuples(st.sampled_from(["", "{", '{"items":', '{"items":[', "\ufeff"]), st.binary(max_size=200)).map(
    lambda both: both[0].encode() + both[1]
)
"""Bytes that are nothing, some of which begin like something."""


@st.composite
def headers(draw: st.DrawFn) -> Asked:
    """Hosts and origins that are no addresses, cookies cut short, tokens in any script."""
    names = st.sampled_from(["host", "origin", "cookie", "x_form_token", "x_forwarded_for", "sec_fetch_site"])
    told = st.one_of(st.sampled_from(["http://[", "[::1", "a/b?c", "\xff", "", "sentinel=.eJw", "null"]), addressed)
    paths = ["/", "/alert/1", "/round", "/a/x", "/enter/x", "/static/" + "a" * 300 + ".css"]
    given = draw(st.dictionaries(names, told))
    return Asked(draw(st.sampled_from(["GET", "POST"])), draw(st.sampled_from(paths)), headers=given)
