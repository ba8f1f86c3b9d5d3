"""The schema of feed maps that editors read."""

from __future__ import annotations

import json
from pathlib import Path

from sentinel.cli.farm.schema import SCHEMA_NAME, put_schema
from sentinel.flow.feeds import feed_map_schema


def test_the_schema_is_put_beside_the_maps_and_kept_up_to_date(tmp_path: Path) -> None:
    """Made from the maps' own declaration; one of another version is written anew."""
    assert put_schema(tmp_path)
    assert json.loads((tmp_path / SCHEMA_NAME).read_text()) == feed_map_schema()
    (tmp_path / SCHEMA_NAME).write_text("{}")
    assert not put_schema(tmp_path)
    assert json.loads((tmp_path / SCHEMA_NAME).read_text()) == feed_map_schema()
