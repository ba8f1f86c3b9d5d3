"""`python -m sentinel.simulator demo OUT`: make the demo's exports again, byte for byte."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sentinel.simulator.demo import write_demo
from sentinel.simulator.plans.demo_week import SEED

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
    herd, count, size = write_demo(out, seed)
    typer.echo(f"{count} exports, {size / 1e6:.1f} MB, {len(herd.items)} true things: {out}")


def main() -> None:
    """The command's entry."""
    app()


if __name__ == "__main__":
    main()
