"""The JSON Schema of feed maps, for editors: made from the maps' own declaration and put beside them."""

from __future__ import annotations

import json
from pathlib import Path

from sentinel.flow.feeds import feed_map_schema

SCHEMA_NAME = "feeds.schema.json"


def schema_text() -> str:
    """The schema as the file holds it."""
    return json.dumps(feed_map_schema(), indent=2, ensure_ascii=False) + "\n"


def put_schema(room: Path) -> bool:
    """Write the schema into the folder of the maps, anew if it is another version's; says whether it was not there."""
    path = room / SCHEMA_NAME
    text = schema_text()
    there = path.is_file()
    if not there or path.read_text(encoding="utf-8", errors="replace") != text:
        path.write_text(text, encoding="utf-8")
    return not there
