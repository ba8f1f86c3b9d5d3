"""A feed map is checked whole: every problem with its line, and what would be right."""

from __future__ import annotations

import pytest
from flow.feeds.good_map import GOOD

from sentinel.flow.feeds import load_feed_map


def problems(text: str) -> list[str]:
    """The problems of a map as a person sees them."""
    feed, found = load_feed_map(text, "feeds/m.yaml")
    assert (feed is None) == bool(found)
    return [str(one) for one in found]


def test_all_problems_of_a_file_are_told_at_once_with_their_places() -> None:
    """Misspelt keys, tables, columns, units, words, quarters and zones: each with line, column and a suggestion."""
    text = """\
feed: milkings
files: "m*.csv"
zone: Europe/Dubln
pce: hourly
tables:
  visits:
    cow: Cow
    strt: Start
    milk_kg: {column: Milk, unit: lbx}
    outcome: {column: Result, words: {ok: mlked}}
    duration_s: {column: Dur, unit: kg}
  quarters:
    each: quarter
    conductivity_mS_cm: {columns: {LF: a, RFF: b}, reference_temperature_C: 38}
    milk_kg: Milk
  fish: {}
"""
    assert problems(text) == [
        'feeds/m.yaml:3:1: zone: "Europe/Dubln" is not a time zone (did you mean "Europe/Dublin"?)',
        'feeds/m.yaml:4:1: pce: unknown key (did you mean "pace"?)',
        "feeds/m.yaml:6:3: start: is missing and must be given: it tells one row of visits from another",
        'feeds/m.yaml:8:5: strt: unknown key (did you mean "start"?)',
        'feeds/m.yaml:9:29: milk_kg is in kg: "lbx" is not a unit that is known here',
        'feeds/m.yaml:10:39: mlked is not a word of outcome (did you mean "milked"?); '
        "leave_out is for words whose rows do not matter",
        'feeds/m.yaml:11:31: duration_s is in s: "kg" cannot be turned into "s" '
        "(durations may also be min:sec, h:min:sec, h:min)",
        "feeds/m.yaml:12:3: start: is missing and must be given: it tells one row of quarters from another",
        'feeds/m.yaml:14:43: RFF is not a quarter (did you mean "RF"?)',
        "feeds/m.yaml:14:52: only 25 is understood so far: the rise of conductivity with temperature differs between "
        "makes, and it is not guessed here",
        "feeds/m.yaml:15:5: milk_kg of all four quarters would be the same: give columns: {LF: ..., RF: ..., ...}, "
        'or one title with {quarter} in it, such as "Milk {quarter}"',
        "feeds/m.yaml:16:3: fish: unknown key (known here: visits, quarters, box_log, cows, tank, cow_tests)",
    ]


def test_conductivity_must_say_at_which_temperature_it_is_stated() -> None:
    """The rise with temperature is not guessed; a map without it does not load."""
    (said,) = problems(GOOD.replace(", reference_temperature_C: 25", ""))

    assert said.startswith("feeds/m.yaml:16:5: reference_temperature_C: is missing and must be given")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('files: ["milkings_*.csv", "old/*.txt"]', 'files: " "', "a file name is empty"),
        ('files: ["milkings_*.csv", "old/*.txt"]', "files: []", "at least 1 item"),
        ("feed: milkings", "feed: a/b", "may hold only letters"),
        ("delimiter: tab", "delimiter: ab", "is not one character"),
        ('decimal: ","', 'decimal: ","\nthousands: ","', "cannot be the same mark"),
        ('decimal: ","', "encoding: utf-99", "is not a text encoding"),
        ('decimal: ","', "encoding: hex", "is not a text encoding"),
        ('"%d.%m.%Y %H:%M"', '"%d.%m. %H:%M"', "does not name the whole day"),
        ('"%d.%m.%Y %H:%M"', '"%Q"', "is not a time format"),
        ("milk_kg: {column: Milk, unit: lb}", "milk_kg: {column: Milk, unit: l}", "state density_kg_per_l"),
        ("milk_kg: {column: Milk, unit: lb}", "milk_kg: {column: Milk, value: 3}", "exactly one of column"),
        ("milk_kg: {column: Milk, unit: lb}", 'milk_kg: {value: "x"}', "is not a number"),
        ("milk_kg: {column: Milk, unit: lb}", "milk_kg: [a, b]", "by its title"),
        ("milk_kg: {column: Milk, unit: lb}", "milk_kg: {stamp: true}", "the stamp is a moment"),
        ("start: Start", "start: {stamp: true}", "complete_until must say where it is"),
        ("start: Start", "start: {columns: [Date]}", "give two columns"),
        ("delimiter: tab", "form: xlsx\nskip_lines: x", "skip_lines means nothing in a file of form xlsx"),
        ("delimiter: tab", "header_line: 0", "header_line: 0 and columns belong together"),
        ("delimiter: tab", "complete_until: {from: file_name}", "needs a pattern"),
        ("feed: milkings", "feed: milkings\nfeed: again", "not valid YAML"),
    ],
)
def test_a_mistake_is_told_in_a_sentence(old: str, new: str, said: str) -> None:
    """Each wrong value says what would be right."""
    found = problems(GOOD.replace(old, new))

    assert any(said in one for one in found), found


@pytest.mark.parametrize("text", ["", "3", "- a", "tables: 3", "feed: {a: b}", "tables: {visits: 3}", "tables: {}"])
def test_nonsense_is_a_problem_and_never_an_error(text: str) -> None:
    """Whatever YAML it is, problems come back."""
    assert problems(text)
