"""The commands and their modules."""

from __future__ import annotations

import pytest

from sentinel.cli.commands import COMMANDS, PEOPLE


@pytest.mark.parametrize("typed", [*COMMANDS, *PEOPLE])
def test_a_command_is_a_module_named_as_it_is_typed(typed: str) -> None:
    """Who looks for a command finds it by its name; no module holds two."""
    command = {**COMMANDS, **PEOPLE}[typed]
    assert command.__module__.rpartition(".")[2] == typed.replace("-", "_")
