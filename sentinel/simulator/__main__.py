"""`python -m sentinel.simulator demo OUT`: make the demo's exports again, byte for byte."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sentinel.simulator.week.script import SEED
from sentinel.simulator.week.week import write_demo

app = typer.Typer(add_completion=False, help="Exports of an invented farm, with their ground truth.")


@app.callback()
def about() -> None:
    """Exports of an invented farm, with their ground truth."""


@app.command()
def demo(
    out: Annotated[Path, typer.Argument(help="Folder to write into; it is made if it is not there.")],
    seed: Annotated[int, typer.Option(help="Another seed makes another week.")] = SEED,
) -> None:
    """One week of exports in three dialects, when each appears, the maps that read them, and the truth."""
    week = write_demo(out, seed)
    size = sum(len(content) for content in week.files.values())
    typer.echo(f"{len(week.files)} exports, {size / 1e6:.1f} MB, {len(week.truth['items'])} true things: {out}")


def main() -> None:
    """The command's entry."""
    app()


if __name__ == "__main__":
    main()
