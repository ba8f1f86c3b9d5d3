"""Text that somebody else wrote, as a terminal or a log may show it: nothing hidden does anything."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.visible import hides, visible, visible_json


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Müller 7 °C, 3 µl − ok", "Müller 7 °C, 3 µl − ok"),
        ("Daisy\r\n\tand Bess", "Daisy\\r\\n\\tand Bess"),
        ("\x1b[31mDaisy", "\\x1b[31mDaisy"),
        ("Daisy \u202e3 kg", "Daisy \\u202e3 kg"),
        ("soft\u00adhyphen", "soft\\xadhyphen"),
        ("line\u2028paragraph\u2029", "line\\u2028paragraph\\u2029"),
        ("tag \U000e0041", "tag \\U000e0041"),
        ("joined \u200d stays", "joined \u200d stays"),
    ],
)
def test_what_cannot_be_seen_is_written_out(text: str, shown: str) -> None:
    """Escapes, line ends and overrides become their codes; letters, marks and joiners stay as they are."""
    assert visible(text) == shown


@given(st.text(st.characters()))
def test_a_text_shown_is_one_line_and_hides_nothing(text: str) -> None:
    """Whatever a cow is called; and what was shown once is not changed by showing it again."""
    shown = visible(text)

    assert not any(hides(character) for character in shown)
    assert len(shown.splitlines()) <= 1
    assert visible(shown) == shown


@given(st.recursive(st.text(), lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner)))
def test_json_means_the_same_and_hides_nothing(value: object) -> None:
    """Also beyond sixteen bits, where JSON writes a character as two."""
    written = visible_json(json.dumps(value, ensure_ascii=False))

    assert json.loads(written) == value
    assert not any(hides(character) for character in written)
