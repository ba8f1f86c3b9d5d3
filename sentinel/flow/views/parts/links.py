"""Which page tells of a subject."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sentinel.flow.model import Subject, kind_of, name_of
from sentinel.flow.rulebook.words import subject_words

PAGES = ("cow", "quarter", "box", "tank")
"""Kinds of subject that have a page of their own."""


@dataclass(frozen=True, slots=True)
class Link:
    """A subject and how it is said; `page` is the kind of page it has (`cow`, `quarter`, `box`, `tank`), or empty."""

    subject: Subject
    words: str
    page: str = ""

    @property
    def name(self) -> str:
        """The subject's name: `217`, `217/LF`, `2`."""
        return name_of(self.subject)


def link_to(subject: Subject) -> Link:
    """A subject with its page.

    >>> link_to("quarter:217/LF")
    Link(subject='quarter:217/LF', words='left front quarter of cow 217', page='quarter')
    """
    kind = kind_of(subject)
    return Link(subject, subject_words(subject), kind if kind in PAGES else "")


def links_of(subject: Subject, boxes: Sequence[str], box: str = "") -> tuple[Link, ...]:
    """The pages that tell more of a subject, its own first: a quarter's cow, a chore's box; `box` where it was seen.

    >>> [link.subject for link in links_of("quarter:217/LF", ["2"], box="2")]
    ['quarter:217/LF', 'cow:217', 'box:2']
    """
    kind, (head, _, tail) = kind_of(subject), name_of(subject).partition("/")
    found = [subject] if kind in PAGES else []
    if kind == "quarter":
        found.append(f"cow:{head}")
    if kind == "chore" and tail in boxes:
        found.append(f"box:{tail}")
    if box and f"box:{box}" not in found:
        found.append(f"box:{box}")
    return tuple(link_to(one) for one in found)
