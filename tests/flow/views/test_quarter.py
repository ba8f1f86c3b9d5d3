"""A quarter's page."""

from __future__ import annotations

import pytest
from text_tables import moment_text
from view_farm import AT, VISITS, rows

from sentinel.flow.views.quarter import quarter_page


def test_a_quarter_is_held_against_the_mean_of_the_others() -> None:
    """Milking by milking; a missing quarter is left out of the mean; a cup that came off is marked."""
    page = quarter_page("217", "LF", rows(visits=VISITS), [], AT)
    assert [(moment_text(r.at), r.own, r.others, r.kicked_off, r.milk_kg) for r in page.readings] == [
        ("1d05:00", 6.2, pytest.approx(4.5), False, 2.5),
        ("1d02:00", 6.0, pytest.approx(4.7), True, 1.0),
        ("06:00", 4.5, pytest.approx(4.5), False, 3.0),
    ]
