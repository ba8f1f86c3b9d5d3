"""Signed links and sessions: who somebody is, as far as this page is concerned.

A notice's link names one alert, or the page of a list, and one person, and is good for fourteen days. A person's own
link names a line in the store, which may end it at any time. Either opens a session, kept in a signed cookie. Nothing
that was not signed with the farm's key is believed.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass, replace
from typing import Any

from itsdangerous import BadData, URLSafeSerializer

from sentinel.flow.model import DAY_S

LINK_FOR_S = 14 * DAY_S
"""Seconds for which a notice's link, and a session that it opened, can be used."""

SESSION_FOR_S = 30 * DAY_S
"""Seconds for which a session opened by a person's own link can be used without being used."""

RENEW_AFTER_S = DAY_S
"""A session in use is begun anew after so many seconds."""

THE_ROUND, THE_HERD = 0, -1
"""Stand in a notice's link for an alert's number, which is 1 at least: it opens the round's or the herd's page."""

PATH = "/a/"
ENTER = "/enter/"


@dataclass(frozen=True, slots=True)
class Link:
    """What a notice's link says: which alert (or page), for whom, and when it was sent (UTC seconds)."""

    alert: int
    person: str
    at: int

    def expired(self, at: int) -> bool:
        """Whether the link can no longer be used at `at`; nor can one that a wrong clock dated so far ahead."""
        return abs(at - self.at) > LINK_FOR_S


@dataclass(frozen=True, slots=True)
class Session:
    """A person at one phone since `at` (UTC seconds); `link` is the number of their own link, 0 for a notice's.

    `nonce` tells this session from every other and stays the same when it is begun anew.
    """

    person: str
    link: int
    at: int
    nonce: str

    def expired(self, at: int) -> bool:
        """Whether it has been left unused for too long, or was begun by a clock that stood as far ahead."""
        return abs(at - self.at) > (SESSION_FOR_S if self.link else LINK_FOR_S)

    def renewed(self, at: int) -> Session | None:
        """The session begun anew, if it is time for that; one that a notice's link opened never is."""
        return replace(self, at=at) if self.link and at - self.at > RENEW_AFTER_S else None


def _signer(secret_key: str, what: str) -> URLSafeSerializer:
    return URLSafeSerializer(
        secret_key, salt=f"sentinel {what}", signer_kwargs={"key_derivation": "hmac", "digest_method": hashlib.sha256}
    )


def _read(secret_key: str, what: str, token: str) -> list[Any] | None:
    """What a token says; None if it was not signed for this with this key, or was changed or cut since."""
    try:
        values = _signer(secret_key, what).loads(token)
    except (BadData, TypeError, ValueError):
        return None
    return values if isinstance(values, list) else None


def sign_link(base_url: str, secret_key: str, alert: int, person: str, at: int) -> str:
    """The link under which one person may see and answer one alert, sent at `at`."""
    token = _signer(secret_key, "answer link").dumps([alert, person, at])
    return f"{base_url.rstrip('/')}{PATH}{token}"


def read_link(token: str, secret_key: str) -> Link | None:
    """What a notice's token says, expired or not; None if it is not one of ours."""
    values = _read(secret_key, "answer link", token)
    return Link(int(values[0]), str(values[1]), int(values[2])) if values and len(values) == 3 else None


def sign_entry(base_url: str, secret_key: str, number: int, person: str) -> str:
    """A person's own link, by its number in the store."""
    token = _signer(secret_key, "own link").dumps([number, person])
    return f"{base_url.rstrip('/')}{ENTER}{token}"


def read_entry(token: str, secret_key: str) -> tuple[int, str] | None:
    """The number and the person of an own link; None if it is not one of ours."""
    values = _read(secret_key, "own link", token)
    return (int(values[0]), str(values[1])) if values and len(values) == 2 else None


def new_session(person: str, link: int, at: int) -> Session:
    """A session that begins at `at`."""
    return Session(person, link, at, secrets.token_urlsafe(12))


def sign_session(session: Session, secret_key: str) -> str:
    """A session as its cookie holds it."""
    return str(_signer(secret_key, "session").dumps([session.person, session.link, session.at, session.nonce]))


def read_session(cookie: str, secret_key: str) -> Session | None:
    """The session that a cookie holds; None if it is not one of ours."""
    values = _read(secret_key, "session", cookie) if cookie else None
    if not values or len(values) != 4:
        return None
    return Session(str(values[0]), int(values[1]), int(values[2]), str(values[3]))


def form_token(session: Session, secret_key: str) -> str:
    """What every form of a session carries, so that a form on another page cannot act in its name."""
    return hmac.new(secret_key.encode(), f"form {session.nonce} {session.person}".encode(), hashlib.sha256).hexdigest()


def right_token(token: str, session: Session, secret_key: str) -> bool:
    """Whether a form carries its session's token."""
    return hmac.compare_digest(token.encode(), form_token(session, secret_key).encode())
