"""How the subject of a planted thing is that of an alert: what happened to a file is told by its feed and the cause."""

from __future__ import annotations


def is_about(subject: str, planted: str) -> bool:
    """Whether an alert's subject is that of a planted thing.

    >>> is_about("unread:milkings/Start", "file:milkings/milkings_1.csv"), is_about("cow:7", "cow:7")
    (True, True)
    """
    feed = planted.removeprefix("file:").partition("/")[0]
    return subject == planted or (planted.startswith("file:") and subject.startswith(f"unread:{feed}/"))
