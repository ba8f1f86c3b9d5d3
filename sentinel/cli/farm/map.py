"""`map`: drafts a feed map from a sample export."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, now, out
from sentinel.edges.settings import read_texts
from sentinel.errors import FarmFolderError, UsageError
from sentinel.flow.feeds.drafting.draft import draft_feed_map
from sentinel.flow.model import Export
from sentinel.flow.settings.farm import load_farm


def map_(
    file: Annotated[Path, typer.Argument(help="A sample export.")],
    farm: FarmOption = HERE,
    zone: Annotated[str, typer.Option(help="The zone of its times, if there is no farm folder yet.")] = "",
) -> None:
    """Draft a feed map from a sample export: read it, correct it, save it under feeds/."""
    if not file.is_file():
        raise UsageError(f"{file} is not a file")
    if not zone:
        zone = _zone_of(farm) or "UTC"
    export = Export(file.name, file.read_bytes(), now())
    out.document(draft_feed_map(export, zone))


def _zone_of(folder: Path) -> str:
    """The farm's zone; of the other settings nothing is asked (the map being drafted is often one of them)."""
    try:
        plan, _ = load_farm(read_texts(folder).get("farm.yaml", ""), "farm.yaml")
    except FarmFolderError:
        return ""
    return plan.zone if plan else ""
