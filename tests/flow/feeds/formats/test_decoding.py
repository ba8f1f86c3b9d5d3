"""Bytes of an export to text: marks of the encoding, bytes that are no text, and lines."""

from __future__ import annotations

import codecs

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.bounds import Bounds
from sentinel.flow.feeds.formats.decoding import BROKEN, MOST_BEFORE, decode, lines_of, marked_encoding
from sentinel.flow.reasons import Unreadable


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-32"])
def test_a_mark_at_the_beginning_wins_over_the_map(encoding: str) -> None:
    """And is no part of the first title."""
    found = decode("Kuh;Stück".encode(encoding), "cp1252")

    assert (found.text, found.broken) == ("Kuh;Stück", False)
    assert found.encoding != "cp1252"


def test_utf_32_is_not_taken_for_utf_16() -> None:
    """The mark of the one begins with that of the other."""
    assert marked_encoding(codecs.BOM_UTF32_LE + b"x") == ("utf-32-le", 4)
    assert marked_encoding(codecs.BOM_UTF16_LE + b"x") == ("utf-16-le", 2)
    assert marked_encoding(b"Cow") == ("", 0)


def test_a_byte_that_is_no_text_is_marked_where_it_stands() -> None:
    """The rest is read, so that it costs its own row only."""
    found = decode(b"Cow\nK\xe4se\n7\n", "utf-8")

    assert found.broken
    assert [bool(BROKEN.search(line)) for line in found.text.splitlines()] == [False, True, False]


def test_what_is_no_text_at_all_is_refused() -> None:
    """As of a picture that is read in an encoding of two bytes."""
    with pytest.raises(Unreadable, match="utf-16"):
        decode(b"\x00\xd8" * 50, "utf-16-le")


@given(st.text(st.characters(codec="utf-8"), max_size=30), st.text(st.characters(codec="utf-8"), max_size=30))
def test_a_file_that_has_grown_is_the_same_text_with_its_old_end_in_it(old: str, new: str) -> None:
    """Where it was read to before is found again, in characters."""
    before = len(old.encode())
    found = decode((old + new).encode(), "utf-8", before)
    whole = old + new
    mark = whole.startswith("\ufeff")

    assert found.text == whole[mark:]
    assert found.text[found.read_from :] == (new[1:] if mark and not old else new)


@given(st.lists(st.text("a;\n\r", max_size=6)).map("".join))
def test_lines_keep_their_ends_and_put_together_are_the_text(text: str) -> None:
    """Of whatever computer the ends are."""
    lines = lines_of(text, Bounds())

    assert "".join(lines) == text
    assert lines == text.splitlines(keepends=True)


def test_a_text_of_too_many_lines_is_refused_before_it_is_taken_apart() -> None:
    """The lines above the rows are not counted; CR LF ends one line."""
    few = Bounds(rows=10)

    assert len(lines_of("x\r\n" * (10 + MOST_BEFORE), few)) == 10 + MOST_BEFORE
    with pytest.raises(Unreadable, match="more than 10 rows"):
        lines_of("x\r" * (11 + MOST_BEFORE), few)
