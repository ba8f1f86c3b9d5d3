"""Signed links: one alert for one person, good for fourteen days. Whoever holds the link answers as that person."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from itsdangerous import BadData, URLSafeSerializer

from sentinel.flow.model import DAY_S

LINK_FOR_S = 14 * DAY_S
"""Seconds for which a link can be used."""

PATH = "/a/"


@dataclass(frozen=True, slots=True)
class Link:
    """What a link that was signed here says: which alert, for whom, and when it was sent (UTC seconds)."""

    alert: int
    person: str
    at: int

    def expired(self, at: int) -> bool:
        """Whether the link can no longer be used at `at`."""
        return at - self.at > LINK_FOR_S


def _signer(secret_key: str) -> URLSafeSerializer:
    return URLSafeSerializer(
        secret_key,
        salt="sentinel answer link",
        signer_kwargs={"key_derivation": "hmac", "digest_method": hashlib.sha256},
    )


def sign_link(base_url: str, secret_key: str, alert: int, person: str, at: int) -> str:
    """The link under which one person may see and answer one alert, sent at `at`."""
    token = _signer(secret_key).dumps([alert, person, at])
    return f"{base_url.rstrip('/')}{PATH}{token}"


def read_link(token: str, secret_key: str) -> Link | None:
    """What a token says, expired or not; None if it was not signed with this key or was changed or cut since."""
    try:
        alert, person, at = _signer(secret_key).loads(token)
    except (BadData, TypeError, ValueError):
        return None
    return Link(int(alert), str(person), int(at))
