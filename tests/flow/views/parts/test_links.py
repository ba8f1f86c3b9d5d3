"""Which pages tell more of a subject."""

from __future__ import annotations

import pytest

from sentinel.flow.views.parts.links import link_to, links_of


@pytest.mark.parametrize(
    ("subject", "box", "pages"),
    [
        ("cow:217", "", ["cow:217"]),
        ("quarter:217/LF", "", ["quarter:217/LF", "cow:217"]),
        ("quarter:217/LF", "2", ["quarter:217/LF", "cow:217", "box:2"]),
        ("box:2", "2", ["box:2"]),
        ("chore:filter/2", "", ["box:2"]),
        ("chore:wire/east", "", []),
        ("herd", "1", ["box:1"]),
    ],
)
def test_the_subjects_own_page_comes_first_then_what_it_belongs_to(subject: str, box: str, pages: list[str]) -> None:
    """A block in the field and the herd have none, and no page is named twice."""
    assert [link.subject for link in links_of(subject, ["1", "2"], box)] == pages


def test_a_link_has_its_name_its_words_and_its_page() -> None:
    """What has no page is said all the same."""
    quarter, wire = link_to("quarter:217/LF"), link_to("chore:wire/east")

    assert (quarter.name, quarter.words, quarter.page) == ("217/LF", "left front quarter of cow 217", "cow")
    assert (wire.words, wire.page) == ("wire east", "")
