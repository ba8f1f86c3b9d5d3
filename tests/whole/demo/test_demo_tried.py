"""The demo's exports and those of simulated herds are what their maps take them for."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from cli.typed import sentinel

from sentinel.edges.settings import read_texts
from sentinel.flow.feeds.possible import only_possible
from sentinel.flow.model import Export
from sentinel.flow.setup import Setup, read_setup
from sentinel.runtime.ticks import as_written

DEMO = Path(__file__).parents[3] / "demo_feeds"


@pytest.fixture(scope="module", params=["demo", "simulated", "split"])
def farm(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A farm folder with its exports: the demo's, and two invented herds'."""
    folder = tmp_path_factory.mktemp("farm") / "farm"
    if request.param == "demo":
        shutil.copytree(DEMO, folder)
    else:
        split = ["--split"] if request.param == "split" else []
        made = sentinel("simulate", folder, "--cows", 60, "--boxes", 2, "--days", 11, "--seed", 11, *split)
        assert made.code == 0, made.err
    return folder


def test_nothing_is_asked_of_their_maps(farm: Path) -> None:
    """`check --strict` is content."""
    said = sentinel("check", farm, "--strict")

    assert said.code == 0, said.words
    assert "files tried" in said.out


def test_no_figure_of_theirs_is_left_out(farm: Path) -> None:
    """What is possible holds all that a healthy and an ill herd give, slips of the keyboard too."""
    setup = settings(farm)

    for path in sorted((farm / "exports").iterdir()):
        batch = as_written(setup, Export(path.name, path.read_bytes(), 0))
        assert batch is not None
        assert only_possible(batch, setup.map_for(path.name)) is batch, path.name


def settings(farm: Path) -> Setup:
    """The farm's settings."""
    setup, problems = read_setup(read_texts(farm))
    assert setup is not None, problems
    return setup
