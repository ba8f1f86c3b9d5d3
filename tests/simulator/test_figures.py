"""The figures of simulated herds: each has a unit and a source, or says that it was set otherwise."""

from __future__ import annotations

from dataclasses import fields

from sentinel.simulator.figures import FIGURES
from sentinel.simulator.plans.quiet_herd import QUIET


def test_a_figure_that_was_set_otherwise_says_so() -> None:
    """The quiet herd's figures carry no source that was given for another value."""
    usual, quiet = FIGURES.listed(), QUIET.listed()

    assert [f["name"] for f in quiet] == [f.name for part in FIGURES for f in fields(part)]
    for before, now in zip(usual, quiet, strict=True):
        assert now["unit"] == before["unit"]
        if now["value"] == before["value"]:
            assert now["source"] == before["source"]
        else:
            assert now["source"] == f"assumption: for this herd, not {before['value']}"
