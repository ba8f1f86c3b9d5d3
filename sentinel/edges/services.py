"""Apprise's services: loaded when first needed, with their logs made safe and what they lack reported.

Addresses are secrets. Apprise writes them down, whole or in part, when it cannot understand one and at level DEBUG;
so every message of its logger, and of the HTTP library below it, is replaced by a few known words before anybody gets
it, and a failure is reported as one of these.
"""

from __future__ import annotations

import logging
import re
import threading
import warnings
from collections.abc import Iterable
from typing import Any

from sentinel.edges.replies import bound_replies
from sentinel.flow.reasons import Reason

_TALKATIVE = ("urllib3", "requests", "requests_oauthlib", "oauthlib", "paho", "slixmpp")
"""Loggers of further libraries below Apprise that would write addresses down at level DEBUG."""

_loading = threading.Lock()
_SCHEMA = re.compile(r"\s*([a-z0-9]{1,32})://", re.IGNORECASE)
_SECRETIVE = ("apprise", "urllib3.connectionpool", "urllib3.connection", "urllib3.poolmanager", "urllib3.util.retry")
"""Loggers whose messages are replaced, also if somebody opens their level while a message is on its way."""

REFUSED = Reason("not-taken")
NO_ANSWER = Reason("no-connection")
ANSWERED = "the service answered "
_STATUS = re.compile(r"\berror\s?[=:]\s?(\d{3})\b")


class _KnownWords(logging.Filter):
    """Replaces a message, which may hold an address, with the words that may be reported."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let the record pass with its message replaced."""
        try:
            message = record.getMessage()
        except Exception:
            message = ""
        status = _STATUS.search(message)
        if status:
            replacement = str(answered(status[1]))
        else:
            replacement = str(NO_ANSWER if "connection error" in message.lower() else REFUSED)
        record.msg, record.args, record.exc_info, record.exc_text, record.stack_info = replacement, (), None, None, None
        return True


_KNOWN_WORDS = _KnownWords()


def load() -> None:
    """Load Apprise and its services; close its loggers each time, since others may have opened them.

    Apprise offers to load all of its 190 services or none: ten megabytes that a farm with one channel does not need.
    """
    for name in _SECRETIVE:
        logging.getLogger(name).addFilter(_KNOWN_WORDS)  # the same one again is not added twice
    apprise_logger = logging.getLogger("apprise")
    apprise_logger.setLevel(logging.WARNING)  # not higher: the reasons of a failure are read from its messages
    apprise_logger.propagate = False
    if not apprise_logger.handlers:
        apprise_logger.addHandler(logging.NullHandler())
    for name in _TALKATIVE:
        logging.getLogger(name).setLevel(logging.WARNING)
    with _loading, warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of the libraries its services are made of
        from apprise import NotificationManager  # noqa: PLC0415  loaded late: it is large

        manager: Any = NotificationManager  # untyped
        manager().load_modules()
        bound_replies()


def schema_of(url: str) -> str:
    """What stands before the `://` of an address, in small letters; nothing if nothing does."""
    match = _SCHEMA.match(url)
    return match[1].lower() if match else ""


def lacking(url: str) -> list[str] | None:
    """The packages that an address's service cannot do without here; None if it is no known service, or lacks none.

    An empty list: no package helps, as the service is one of another kind of machine.
    """
    from apprise import Apprise  # noqa: PLC0415

    details: Any = Apprise().details(show_requirements=True, show_disabled=True)
    for service in details["schemas"]:
        schemas = {*(service["protocols"] or ()), *(service["secure_protocols"] or ())}
        if schema_of(url) in schemas and not service["enabled"]:
            return [str(package) for package in service["requirements"]["packages_required"]]
    return None


def answered(status: str) -> Reason:
    """The text for a service that answered with an HTTP status that means no."""
    return Reason("service-answered", n=int(status))


def reason_among(messages: Iterable[str]) -> Reason:
    """Why a service did not take a message, by what its log was made to say."""
    reason = REFUSED
    for message in messages:
        if message == str(NO_ANSWER):
            reason = NO_ANSWER
        elif message.startswith(ANSWERED):
            reason = answered(message.removeprefix(ANSWERED))
    return reason


def why_not(packages: list[str] | None) -> Reason:
    """Why an address cannot be used, by what its service lacks."""
    if packages is None:
        return Reason("address-unclear")
    if not packages:
        return Reason("service-unusable")
    return Reason("package-missing", packages=", ".join(packages))
