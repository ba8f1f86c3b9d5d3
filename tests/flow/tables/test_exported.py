"""Each column of an exported table is declared whole: what exports call it, and what it hardly is."""

from __future__ import annotations

import pytest

from sentinel.flow.feeds.drafting.lexicon.vocabulary import CELL_WORDS
from sentinel.flow.tables import (
    EXPORTED,
    Column,
)

COLUMNS = [pytest.param(c, id=f"{t.name}.{c.name}") for t in EXPORTED for c in t.columns]


@pytest.mark.parametrize("column", COLUMNS)
def test_a_column_is_found_in_a_sample_export(column: Column) -> None:
    """Without titles no draft of a map would ever guess it; without words for its words they would all be asked for."""
    titles = column.titles.split(";")

    assert column.doc and all(titles) and titles == [title.lower() for title in titles]
    if column.kind == "word":
        assert set(CELL_WORDS[column.name]) <= set(column.words)
    if column.kind == "number":
        assert column.unit
