"""A real `sentinel run` whose clock is put ahead and back: it neither falls silent nor floods, and says so."""

from __future__ import annotations

import os

import pytest
from faults.clock.moved_clock import CASES, RINGS_WITHIN_S, Outcome, try_all

pytestmark = [
    pytest.mark.timeout(400),
    pytest.mark.skipif(os.name != "posix", reason="stops processes with POSIX signals"),
]


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Outcome]:
    """Every case tried at once, in processes of their own."""
    return {one.case.name: one for one in try_all(tmp_path_factory.mktemp("moved"))}


@pytest.mark.parametrize("name", [case.name for case in CASES])
def test_a_box_that_fails_rings_within_a_minute_of_the_clock_being_right(
    outcomes: dict[str, Outcome], name: str
) -> None:
    """Also one that failed while it was wrong; each once, without a flood, and the past is told again as it was."""
    found = outcomes[name]

    assert found.lost == 0, found.said
    assert found.recovered_s <= RINGS_WITHIN_S
    assert found.doubled == 0
    assert found.pushes <= 6  # the person's ceiling of an hour
    assert (found.set_aside, found.ahead) == (0, 0)
    assert found.verified > 0
    assert found.replay_equals_live


def test_a_jump_is_told_by_how_much_and_one_that_did_not_stand_never_was(outcomes: dict[str, Outcome]) -> None:
    """In the log and by the process, to a few seconds; back and ahead."""
    told = {name: found.jumps_s for name, found in outcomes.items()}
    wanted = {
        "5 h ahead for 20 s": (),
        "started 5 h ahead, right after 20 s": (-5 * 3600,),
        "1 h ahead from the first start on, put back": (-3600,),
        "a year ahead for a minute": (365 * 86400, -365 * 86400),
        "10 years behind at boot, right after a minute": (-3650 * 86400, 3650 * 86400),
        "the same at the very first start": (3650 * 86400,),
    }
    for name, jumps in wanted.items():
        assert len(told[name]) == len(jumps), (name, told[name], outcomes[name].said)
        assert all(abs(by - right) <= 20 for by, right in zip(told[name], jumps, strict=True)), (name, told[name])
    assert "the clock was put back by 365 d" in outcomes["a year ahead for a minute"].said
