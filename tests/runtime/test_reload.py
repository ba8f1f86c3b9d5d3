"""Settings spoilt by hand, an editor or a disk: told in one line, never the end of a run, taken when put right."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import NoReturn

import pytest
from faults.settings import edited_farm, hostile_settings
from faults.settings.hostile_settings import EDITS, HARMLESS
from text_tables import moment
from typer.testing import CliRunner
from whole.whole_farm import BOX_FAILURES, FEED, Life, batch, setup_of

from sentinel.cli import app
from sentinel.edges.clock import Clock
from sentinel.edges.settings import settings_stamp
from sentinel.edges.store import Store
from sentinel.errors import FarmFolderError
from sentinel.flow.model import Problem, Source, Tick
from sentinel.flow.setup import MOST_PROBLEMS, read_setup
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.reload import AGAIN_S, SettingsReload
from sentinel.runtime.service import Service

pytestmark = [pytest.mark.timeout(180), pytest.mark.skipif(os.name != "posix", reason="makes links and pipes")]

REAL = (
    "a link of a rule to nothing",
    "a pipe named like a rule",
    "a rule in another encoding",
    "an explosion of aliases",
    "a bound of 10^26 h",
    "a part of a time twice",
)
"""Tried on a real process here, one of each way to fail; `python -m faults.settings.edited_farm` tries them all."""


@pytest.mark.parametrize("name", EDITS)
def test_whatever_stands_in_the_folder_is_told_with_its_place(tmp_path: Path, name: str) -> None:
    """Each problem names the file and what to do in one line, within seconds; put right, all is read again."""
    farm = edited_farm.make(tmp_path / "farm")
    before = hostile_settings.kept(farm)
    for edit in HARMLESS.values():
        edit(farm)
    assert load_setup(farm, {})[2] == []

    EDITS[name](farm)
    begun = time.perf_counter()
    _, _, problems = load_setup(farm, {})

    assert time.perf_counter() - begun < 20
    assert 0 < len(problems) <= MOST_PROBLEMS + 2
    for one in problems:
        assert one.source.name.partition("/")[0] in ("farm.yaml", "people.yaml", "secrets.yaml", "rules", "feeds")
        assert len(one.message) <= 500
        assert "\n" not in one.message

    hostile_settings.undo(farm, before)
    assert load_setup(farm, {})[2] == []


@pytest.mark.parametrize("command", ["check", "run", "once", "alerts"])
def test_a_start_with_spoilt_settings_ends_in_a_sentence(tmp_path: Path, command: str) -> None:
    """No command ends in a traceback, and the code says that something is wrong."""
    for name in ("a folder named like a rule", "half a character", "deep brackets", "secrets as a folder"):
        farm = edited_farm.make(tmp_path / name)
        EDITS[name](farm)

        result = CliRunner().invoke(app, [command, str(farm)])

        assert result.exit_code == 1, name
        assert result.exception is None or isinstance(result.exception, SystemExit), name
        assert "Traceback" not in result.output


def test_settings_that_may_not_be_read_are_told_and_taken_again() -> None:
    """A file or a folder of another user; a folder of rules that cannot be looked into is not a farm without rules."""
    nobody = 65534 if os.geteuid() == 0 else os.geteuid()  # the superuser may read everything
    me = os.geteuid()
    with tempfile.TemporaryDirectory() as place:
        Path(place).chmod(0o755)
        for name in ("rules", "people.yaml"):
            farm = edited_farm.make(Path(place) / name)
            for path in [farm, *farm.rglob("*")]:
                os.chown(path, nobody, -1)
            mode = (farm / name).stat().st_mode & 0o777
            load_setup(farm, {})  # what Python loads for it lies where that user may not look
            os.seteuid(nobody)
            try:
                assert load_setup(farm, {})[2] == []
                stamp = settings_stamp(farm)
                (farm / name).chmod(0)
                told = load_setup(farm, {})[2]
                assert settings_stamp(farm) != stamp
                (farm / name).chmod(mode)
                assert load_setup(farm, {})[2] == []
                assert settings_stamp(farm) == stamp
            finally:
                os.seteuid(me)

            assert [one.source.name for one in told] == [name]
            assert "may not be read by the user that runs sentinel" in told[0].message


def test_no_change_to_any_settings_file_is_too_odd_to_be_told() -> None:
    """Settings changed at random: the one that takes longest, or most, is within what is said here."""
    done = hostile_settings.fuzz(seed=7, count=120)

    assert 0 < done.taken < done.tried
    assert done.longest_s < 15
    assert done.most_mb < 60


def test_the_largest_settings_that_are_read_are_bounded(tmp_path: Path) -> None:
    """As many values and characters as a file may have: read in seconds, and told by its first few problems."""
    rules = "- rule: a\n  a1: 1\n  a2: 2\n  a3: 3\n" * 2400 + "#" * 900_000
    begun = time.perf_counter()
    setup, problems = read_setup({"farm.yaml": "name: x\nzone: UTC\n", "rules/a.yaml": rules})

    assert setup is None
    assert len(problems) == 1
    assert time.perf_counter() - begun < 20


@pytest.mark.parametrize("inbox", ["ring", "farm.yaml", "x" * 900, "/dev/null/x"])
def test_an_inbox_that_is_none_is_told_by_the_look_into_it(tmp_path: Path, inbox: str) -> None:
    """A link to itself, a file, a name that no disk takes: the service begins, and says so at each look until it is."""
    farm = edited_farm.make(tmp_path / "farm")
    (farm / "ring").symlink_to("ring")
    (farm / "farm.yaml").write_text(edited_farm.FARM + f"inbox: '{inbox}'\n")
    setup, secrets, problems = load_setup(farm, {})
    assert setup is not None, problems
    store = Store(None)
    said: list[object] = []
    service = Service(Farmyard(farm, setup, secrets, store), Clock(), {}, heard=said.append)

    service.catch_up()

    assert len(said) == 1
    store.close()


def test_a_running_farm_goes_on_by_its_last_good_settings(tmp_path: Path) -> None:
    """A real `sentinel run`: each spoilt setting is one line in its log, exports are read and raise meanwhile, `check`
    says what is wrong, and what was put right is taken.
    """
    tried, most_mb = edited_farm.try_all(tmp_path / "farm", REAL)

    assert [one.name for one in tried] == list(REAL)
    for number, one in enumerate(tried):
        assert one.lines == 1, one
        assert one.code == 1, one
        assert "Traceback" not in one.check
        assert one.raised.startswith("Cow during"), one
        assert one.after.endswith(f"word {number}"), one
    assert "Traceback" not in (tmp_path / "farm" / "run.log").read_text()
    assert not most_mb >= 400


def test_settings_that_the_program_fails_on_are_put_back() -> None:
    """A rule that nothing was found wrong with and that cannot be decided: those from before it decide again, and the
    log says nothing of a change that was none.
    """
    good = setup_of(BOX_FAILURES, (FEED,))
    rule = good.rules["box-failures"].model_copy(update={"measure": "no_such_measure", "raise_over": 9.0})
    life = Life(good)
    life.at("05:00", batch("cow  start  box  outcome\n1  04:00  1  failed"))

    life.engine.use(replace(good, rules={"box-failures": rule}))
    with pytest.raises(KeyError):
        life.engine.step(Tick(moment("05:10")))
    life.engine.use(good, undo=True)
    life.at("05:20", batch("cow  start  box  outcome\n2  05:10  1  failed\n3  05:12  1  failed", file="b.csv"))

    assert life.log("raised", "rules-changed") == ["05:20 raised box-failures box:1"]
    assert life.told_again == life.alerts


def test_what_is_wrong_is_told_once_and_read_again_by_itself(tmp_path: Path) -> None:
    """A share that was away, or a file that another program held: it may come back without a trace in the folder."""
    farm = edited_farm.make(tmp_path / "farm")
    good = load_setup(farm, {})
    held = (None, good[1], [Problem(Source("rules/boxes.yaml"), "this file cannot be read")])
    answers = [held, held, good]
    edits = SettingsReload(farm, lambda: answers.pop(0))

    assert edits.look(0.0) == (None, None, "")
    (farm / "rules" / "boxes.yaml").write_text(edited_farm.RULES % "another")
    assert edits.look(1.0) == (None, None, "")  # until it has stood still
    assert edits.look(2.5) == (None, None, "rules/boxes.yaml: this file cannot be read")
    assert edits.look(3.0) == (None, None, "")
    assert edits.look(2.5 + AGAIN_S) == (None, None, "")  # read again, and not told again
    assert edits.look(2.5 + 2 * AGAIN_S) == (good[0], good[1], "")
    assert answers == []


def test_no_failure_to_read_settings_ends_the_watch(tmp_path: Path) -> None:
    """Not even one that nobody has thought of, nor a farm folder that is gone."""
    farm = edited_farm.make(tmp_path / "farm")

    def failing() -> NoReturn:
        raise RuntimeError("unheard of\n" * 500)

    edits = SettingsReload(farm, failing)
    shutil.rmtree(farm)
    edits.look(0.0)
    said = edits.look(5.0)[2]

    assert said.startswith("farm: RuntimeError: unheard of unheard of")
    assert len(said) < 300
    gone = SettingsReload(farm, lambda: load_setup(farm, {}))
    farm.mkdir()
    shutil.rmtree(farm)
    assert "is not a folder" in gone.refused(str(_refusal(farm)), 0.0)


def _refusal(farm: Path) -> Exception:
    with pytest.raises(FarmFolderError) as found:
        load_setup(farm, {})
    return found.value
