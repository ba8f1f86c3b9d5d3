"""The round's page."""

from __future__ import annotations

from text_tables import moment
from view_farm import AT, alert, rows, snapshot

from sentinel.flow.views.round import round_page


def test_the_round_shows_the_list_of_the_nearest_round() -> None:
    """With what stands, what is due, and until when each feed is known."""
    page = round_page(snapshot([alert(3, "cow:7")], tables=rows()))

    assert page.round is not None
    assert page.round.begins == moment("1d16:30")
    assert [(part.part, [item.key for item in part.items]) for part in page.parts if part.part == "yard"] == [
        ("yard", ["alert:3"])
    ]
    assert [(line.feed, line.known_until) for line in page.known] == [("box_log", AT), ("visits", AT)]
