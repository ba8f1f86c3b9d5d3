"""What `deploy/` hands to the system: its units are sound and do what they say, and the day's backup holds."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import stat
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from edges.store.schema.make_store import lived

from sentinel.cli import main
from sentinel.edges.store import Store

ROOT = Path(__file__).parents[3]
DEPLOY = ROOT / "deploy"
UNITS = sorted(path for path in DEPLOY.iterdir() if path.suffix in (".service", ".timer", ".mount", ".automount"))
SERVICES = [path for path in UNITS if path.suffix == ".service"]
SYSTEMD = pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="systemd-analyze is not on this machine")


def laid(folder: Path) -> Path:
    """The units as they would lie on a machine on which the program and the user are there."""
    for path in UNITS:
        text = re.sub(r"^ExecStart=\S+", f"ExecStart={sys.executable}", path.read_text(encoding="utf-8"), flags=re.M)
        (folder / path.name).write_text(re.sub(r"^(User|Group)=.*$", r"\1=root", text, flags=re.M), encoding="utf-8")
    return folder


def verified(path: Path) -> tuple[int, str]:
    """What systemd says of a unit; it only warns of unknown keys, so any word counts."""
    said = subprocess.run(["systemd-analyze", "verify", path], capture_output=True, text=True, check=False)
    return said.returncode, said.stdout + said.stderr


@SYSTEMD
@pytest.mark.parametrize("unit", [path.name for path in UNITS])
def test_units_are_sound(unit: str, tmp_path: Path) -> None:
    """systemd finds nothing to say against any unit, and does of one with a key that it does not know."""
    path = laid(tmp_path) / unit

    assert verified(path) == (0, "")
    path.write_text(path.read_text(encoding="utf-8") + "\n[Unit]\nDescripton=x\n", encoding="utf-8")
    assert "Descripton" in verified(path)[1]


@SYSTEMD
@pytest.mark.parametrize("unit", [path.name for path in SERVICES])
def test_services_are_shut_in(unit: str) -> None:
    """By systemd's own count of what a service could do to the machine, from 0 to 10, none is over 1.3."""
    command = ["systemd-analyze", "security", "--offline=yes", "--no-pager", DEPLOY / unit]
    said = subprocess.run(command, capture_output=True, text=True, check=False).stdout

    [level] = re.findall(r"Overall exposure level for \S+: ([\d.]+)", said)
    assert float(level) <= 1.3


@pytest.mark.parametrize("kind", [".service", ".timer"])
@pytest.mark.parametrize("name", ["sentinel", "sentinel-backup"])
def test_a_unit_of_several_farms_differs_from_that_of_one_only_by_the_farm(name: str, kind: str) -> None:
    """The same lines, with the farm's name in the folders: what is mended in one is mended in both."""
    if (name, kind) == ("sentinel", ".timer"):
        assert not (DEPLOY / "sentinel.timer").exists()
        return

    def lines(path: Path) -> list[str]:
        told = [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
        return [re.sub(r"/%i|(?<=farm) %i|(?<=Sentinel) for %i", "", line) for line in told]

    assert lines(DEPLOY / f"{name}@{kind}") == lines(DEPLOY / f"{name}{kind}")


def test_the_mount_can_only_read_and_hangs_nobody() -> None:
    """ro and soft, and mounted at the first look; its name is that of its folder, or systemd would not take it."""
    text = (DEPLOY / "srv-herd-exports.mount").read_text(encoding="utf-8")
    options = re.search(r"^Options=(.*)$", text, re.M)[1].split(",")  # type: ignore[index]
    line = re.search(r"^herd-pc:\S+ .*$", (DEPLOY / "README.md").read_text(encoding="utf-8"), re.M)
    assert line
    folder, kind, nfs = line[0].split()[1:4]

    assert {"ro", "soft", "nosuid", "nodev", "noexec"} <= set(options) & set(nfs.split(","))
    assert {"file_mode=0440", "dir_mode=0550"} <= set(options)
    assert "rw" not in options and "x-systemd.automount" in nfs and kind == "nfs"
    assert "WantedBy" not in text and "WantedBy" in (DEPLOY / "srv-herd-exports.automount").read_text(encoding="utf-8")
    assert f"Where={folder}\n" in text
    for unit in SERVICES:
        if "backup" not in unit.name:
            assert re.search(r"^ReadOnlyPaths=-/srv/herd/", unit.read_text(encoding="utf-8"), re.M)


# --- the day's backup ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def lived_in(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A farm with the log of a day, two photos and secrets."""
    folder = tmp_path_factory.mktemp("lived") / "farm"
    with pytest.raises(SystemExit):  # as every command ends
        main(["init", str(folder), "--zone", "UTC"])
    store = Store(folder / "sentinel.db")
    lived(store)
    store.close()
    (folder / "photos").mkdir(mode=0o700)
    for name in ("a", "b"):
        (folder / "photos" / f"{name * 32}.jpg").write_bytes(name.encode() * 1000)
    return folder


@pytest.fixture
def farm(lived_in: Path, tmp_path: Path) -> Path:
    """The same, to be used up by one test."""
    return shutil.copytree(lived_in, tmp_path / "farm")


def daily(farm: Path, place: Path, *given: str) -> tuple[int, str]:
    """Run the unit's own command, for this farm and this folder."""
    text = (DEPLOY / "sentinel-backup.service").read_text(encoding="utf-8")
    command = re.search(r"^ExecStart=(.*)$", text, re.M)[1].split()  # type: ignore[index]
    [variable] = re.findall(r"^Environment=(\w+)=/var/lib/sentinel$", text, re.M)
    assert command[:3] == ["/opt/sentinel/bin/sentinel", "backup-daily", "/mnt/backup/sentinel"]
    run = [sys.executable, "-m", "sentinel", "backup-daily", place, *command[3:], *given]
    environment = {**os.environ, variable: str(farm)}
    done = subprocess.run(run, env=environment, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


def day_of(said: str) -> str:
    """The day that the command gave its copy."""
    return re.search(r"sentinel-(\d{4}-\d\d-\d\d)\.db", said)[1]  # type: ignore[index]


def names(place: Path) -> list[str]:
    """What lies in a folder."""
    return sorted(path.name for path in place.iterdir())


def test_the_timers_command_leaves_a_proven_copy_of_store_photos_and_settings(farm: Path, tmp_path: Path) -> None:
    """Dated, its owner's alone, with the whole log; secrets and the page's key are not in it; a second replaces it."""
    place = tmp_path / "backup"
    place.mkdir()
    first, second = daily(farm, place), daily(farm, place)
    day = day_of(second[1])

    assert (first[0], second[0]) == (0, 0), first[1] + second[1]
    assert "whole" in first[1] and "Taken away" not in second[1]
    assert names(place) == [f"sentinel-{day}.{end}" for end in ("db", "photos", "settings")]
    inside = [path.relative_to(place).as_posix() for path in place.rglob("*") if path.is_file()]
    assert [name for name in inside if "secret" in name or "key" in name] == []
    assert {f"sentinel-{day}.settings/{name}" for name in ("farm.yaml", "people.yaml")} < set(inside)
    assert {stat.S_IMODE(p.stat().st_mode) & 0o077 for p in place.rglob("*") if ".photos/" not in str(p)} == {0}
    copy, here = Store(place / f"sentinel-{day}.db"), Store(farm / "sentinel.db")
    assert copy.verify() == here.verify()
    assert len(names(place / f"sentinel-{day}.photos")) == 2


def test_so_many_days_are_kept_by_count_whatever_the_clock_said(farm: Path, tmp_path: Path) -> None:
    """The oldest go, a copy dated by a clock that was put wrong counts as one, and what is not ours is left alone."""
    place = tmp_path / "backup"
    place.mkdir()
    for day in ("2020-01-01", "2020-01-02", "2020-01-03", "2099-01-01"):
        (place / f"sentinel-{day}.db").write_bytes(b"")
        (place / f"sentinel-{day}.photos").mkdir()
    (place / "sentinel-2019-01-01.db.old").write_bytes(b"mine")
    (place / "before-holiday.db").write_bytes(b"mine")
    code, said = daily(farm, place, "--keep", "3")
    day = day_of(said)

    assert code == 0
    assert "Taken away, as 3 are kept: 2020-01-01, 2020-01-02." in said
    kept = [name for name in names(place) if name.endswith(".db")]
    assert kept == sorted(
        ["before-holiday.db", "sentinel-2020-01-03.db", f"sentinel-{day}.db", "sentinel-2099-01-01.db"]
    )
    assert "sentinel-2019-01-01.db.old" in names(place)
    assert "sentinel-2020-01-01.photos" not in names(place)


def test_the_copy_just_made_is_never_what_is_taken_away(farm: Path, tmp_path: Path) -> None:
    """A clock that was put back makes today's copy the oldest by its name; it stays all the same."""
    place = tmp_path / "backup"
    place.mkdir()
    for day in ("2098-01-01", "2099-01-01"):
        (place / f"sentinel-{day}.db").write_bytes(b"")

    code, said = daily(farm, place, "--keep", "1")

    assert code == 0
    assert [name for name in names(place) if name.endswith(".db")] == [f"sentinel-{day_of(said)}.db"]


def test_photos_of_the_day_before_take_no_room_again(farm: Path, tmp_path: Path) -> None:
    """A photo never changes under its name, so the copies share it; a new one is copied."""
    place = tmp_path / "backup"
    yesterday = place / "sentinel-2020-01-01.photos"
    yesterday.mkdir(parents=True)
    shutil.copyfile(farm / "photos" / f"{'a' * 32}.jpg", yesterday / f"{'a' * 32}.jpg")
    daily(farm, place)
    [today] = [path for path in place.glob("*.photos") if path != yesterday]

    links = {name: (today / f"{name * 32}.jpg").stat().st_nlink for name in "ab"}
    assert links == {"a": 2, "b": 1}
    assert (today / f"{'b' * 32}.jpg").read_bytes() == b"b" * 1000


def test_a_damaged_store_takes_no_good_copys_place(farm: Path, tmp_path: Path) -> None:
    """The command fails and says why; the copies of before are all there, today's too, and no half one."""
    place = tmp_path / "backup"
    place.mkdir()
    assert daily(farm, place)[0] == 0
    (place / "sentinel-2020-01-01.db").write_bytes(b"")
    before = {path: path.read_bytes() for path in place.rglob("*") if path.is_file()}
    conn = sqlite3.connect(farm / "sentinel.db")
    conn.execute("drop trigger log_is_never_changed")
    conn.execute("update log set body = '{}' where seq = 2")
    conn.commit()
    conn.close()
    code, said = daily(farm, place, "--keep", "1")

    assert code != 0
    assert "the log is not whole" in said and "Traceback" not in said
    assert {path: path.read_bytes() for path in place.rglob("*") if path.is_file()} == before


def test_a_disk_that_is_not_mounted_is_not_replaced_by_this_one(farm: Path, tmp_path: Path) -> None:
    """Without its folder the backup fails; it does not make one where the disk would be."""
    code, said = daily(farm, tmp_path / "mnt" / "backup")

    assert code == 2
    assert "is mounted" in said
    assert not (tmp_path / "mnt").exists()


def test_settings_with_a_fault_keep_nobody_from_the_backup(farm: Path, tmp_path: Path) -> None:
    """They are copied as they are."""
    (farm / "farm.yaml").write_bytes(b"name: \xff\nzone: Nowhere\n")
    place = tmp_path / "backup"
    place.mkdir()

    assert daily(farm, place)[0] == 0
    [settings] = place.glob("*.settings")
    assert (settings / "farm.yaml").read_bytes() == b"name: \xff\nzone: Nowhere\n"


# --- Windows -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["run", "backup"])
def test_what_windows_is_to_start_is_well_formed_and_says_that_it_was_not_tried(name: str) -> None:
    """What can be checked without Windows: the XML, what it starts, and that no limit or battery ends the service."""
    text = (DEPLOY / f"windows-{name}.xml").read_text(encoding="utf-8")
    found = {re.sub(r"{.*}", "", one.tag): one.text or "" for one in ET.fromstring(text).iter() if not len(one)}
    script = (DEPLOY / f"windows-{name}.cmd").read_bytes()

    assert "NOT TRIED" in text and b"NOT TRIED" in script
    assert "None of this was tried" in (DEPLOY / "windows.md").read_text(encoding="utf-8").split("\n\n")[1]
    assert found["Command"].rpartition("\\")[2] == f"windows-{name}.cmd"
    assert found["ExecutionTimeLimit"] == {"run": "PT0S", "backup": "PT1H"}[name]
    assert (found["DisallowStartIfOnBatteries"], found["StopIfGoingOnBatteries"]) == ("false", "false")
    assert (found["MultipleInstancesPolicy"], found["RunLevel"]) == ("IgnoreNew", "LeastPrivilege")
    assert script.count(b"\r\n") == script.count(b"\n")  # a line that ends without \r is misread in places
    assert {"run": b'" run "', "backup": b'" backup-daily "'}[name] in script
