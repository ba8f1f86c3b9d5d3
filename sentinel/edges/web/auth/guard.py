"""What is sent with every answer of the page, and the cookie in which a session is kept."""

from __future__ import annotations

from urllib.parse import urlsplit

from starlette.requests import HTTPConnection, Request
from starlette.responses import Response

from sentinel.edges.web.auth.links import SESSION_FOR_S

POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "script-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
"""Everything comes from this page itself, and nothing is written into it: no inline style, no inline script."""

HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": POLICY,
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "X-Robots-Tag": "noindex, nofollow",
}
"""Sent with every answer of the page, errors included."""


PROXIES = ("127.0.0.1", "::1")
"""Addresses of a web server on this machine; what it says of where somebody comes from is believed."""

ADDRESS_LENGTH = 64
"""Of an address as a proxy tells it: longer than any is."""


def cookie_name(secure: bool) -> str:
    """The session cookie's name; `__Host-` has the browser hold it to https and to this host alone."""
    return "__Host-sentinel" if secure else "sentinel"


def set_cookie(response: Response, value: str, secure: bool) -> None:
    """Give the browser a session.

    SameSite is Lax, not Strict: a Strict cookie is not sent when a link in a chat app or a mail opens the page, so
    that whoever comes by a link would look like a stranger. Lax sends it with such a look, and with no form of
    another page; forms carry a token of their own besides.
    """
    response.set_cookie(
        cookie_name(secure), value, max_age=SESSION_FOR_S, path="/", secure=secure, httponly=True, samesite="lax"
    )


def from_elsewhere(request: Request) -> bool:
    """Whether a browser says that a form was sent from a page of another host.

    Browsers send Sec-Fetch-Site over https and to this machine; over plain http they send only Origin, which is
    `null` under our own Referrer-Policy. What guards a form in that case is the token it carries, or the signed
    link that it is sent to.
    """
    site = request.headers.get("sec-fetch-site")
    if site is not None:
        return site not in ("same-origin", "none")
    origin = request.headers.get("origin", "null")
    try:
        return origin != "null" and urlsplit(origin).netloc != request.headers.get("host")
    except ValueError:  # no address at all
        return True


def address_of(request: HTTPConnection) -> str:
    """The address somebody comes from; what a proxy says of it is believed if the proxy runs on this machine."""
    peer = request.client.host if request.client else ""
    forwarded_for = request.headers.get("x-forwarded-for", "")
    if forwarded_for and peer in PROXIES:
        return forwarded_for.rpartition(",")[2].strip()[:ADDRESS_LENGTH]
    return peer
