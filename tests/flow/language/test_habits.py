"""Figures and days as each place writes them."""

from __future__ import annotations

from datetime import date

from sentinel.flow.language import HABITS, PLAIN


def test_figures_are_written_as_their_place_does() -> None:
    """In English notices as any program reads it; on the page and in German with thousands marked, and a real minus."""
    figures = [(1234.5, 1), (-1.25, 2), (-0.001, 2), (6.50, 2), (12_000, 0)]
    told = {
        "plain": [PLAIN["."].figure(*one) for one in figures],
        "plain, comma": [PLAIN[","].figure(*one) for one in figures],
        "English": [HABITS["en", "."].figure(*one) for one in figures],
        "German": [HABITS["de", ","].figure(*one) for one in figures],
        "Swiss": [HABITS["de", "."].figure(*one) for one in figures],
    }

    assert told == {
        "plain": ["1234.5", "-1.25", "0", "6.5", "12000"],
        "plain, comma": ["1234,5", "-1,25", "0", "6,5", "12000"],
        "English": ["1,234.5", "−1.25", "0", "6.5", "12,000"],
        "German": ["1.234,5", "−1,25", "0", "6,5", "12.000"],
        "Swiss": ["1’234.5", "−1.25", "0", "6.5", "12’000"],
    }
    assert HABITS["de", ","].figure(6, 2, least=2) == "6,00"
    assert (PLAIN["."].figure(14.075, 2), HABITS["en", "."].figure(14.075, 2)) == ("14.07", "14.08")


def test_a_day_is_short_in_every_month() -> None:
    """English as notices have it has three letters for each month; German has its own, and its full stop."""
    days = [date(2026, month, 1) for month in range(1, 13)]

    assert [PLAIN["."].calendar(day).split()[1] for day in days] == [day.strftime("%b") for day in days]
    assert HABITS["de", ","].calendar(date(2026, 3, 9)) == "9. März 2026"
    assert HABITS["en", "."].calendar(date(2026, 9, 9)) == "9 Sept 2026"
