"""Which page shows a subject."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sentinel.flow.model import Subject, kind_of, name_of
from sentinel.flow.subjects import belongs_to, kind_named, subject_words


@dataclass(frozen=True, slots=True)
class Link:
    """A subject and how it is said; `page` is the first word of its page's address, empty if it has none."""

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
    Link(subject='quarter:217/LF', words='left front quarter of cow 217', page='cow')
    """
    return Link(subject, subject_words(subject), kind_named(kind_of(subject)).page)


def links_of(subject: Subject, boxes: Sequence[str], box: str = "") -> tuple[Link, ...]:
    """The pages that tell more of a subject, its own first: a quarter's cow, a chore's box; `box` where it was seen.

    >>> [link.subject for link in links_of("quarter:217/LF", ["2"], box="2")]
    ['quarter:217/LF', 'cow:217', 'box:2']
    """
    subjects = [one for one in (subject, *belongs_to(subject)) if kind_named(kind_of(one)).page]
    if kind_of(subject) == "chore":
        subjects = [one for one in subjects if name_of(one) in boxes]
    if box and f"box:{box}" not in subjects:
        subjects.append(f"box:{box}")
    return tuple(link_to(one) for one in subjects)
