"""A damaged, empty or lost store: one sentence and the way back, never a traceback; and the way back itself."""

from __future__ import annotations

import contextlib
import io
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from faults.store.damaged_store import ALWAYS_TOLD, WAYS, Ended, commands, damaged, export, made, run

from sentinel.cli import main
from sentinel.cli.base import opened
from sentinel.demo.phone import Phone
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.damage import MARK, at_first_sight
from sentinel.edges.store.database import fetch
from sentinel.errors import DamagedError

SOUND = ("alerts", "history", "history --csv", "people links")
"""Commands that need not meet every damage: they look at a part of the store."""


def sentinel(*given: str | Path) -> Ended:
    """Run a command in this process."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main([str(one) for one in given])
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Ended(code, out.getvalue(), err.getvalue())


@pytest.fixture(scope="session")
def phone() -> Iterator[Phone]:
    """A phone that keeps what it is told."""
    with Phone() as phone:
        yield phone


@pytest.fixture(scope="session")
def whole(tmp_path_factory: pytest.TempPathFactory, phone: Phone) -> Path:
    """A farm that has worked for a while; never changed."""
    return made(tmp_path_factory.mktemp("whole") / "farm", phone)


@pytest.fixture
def farm(whole: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copytree(whole, tmp_path / "farm"))


@pytest.mark.parametrize("seed", range(2 * len(WAYS)))
@pytest.mark.timeout(180)
def test_every_command_on_a_damaged_store_ends_in_a_sentence_or_is_not_concerned(
    whole: Path, tmp_path: Path, seed: int
) -> None:
    """No traceback and no fault of the program; where pages, the end or all is lost, the way back; nothing written."""
    for name in commands(whole, tmp_path):
        if name in ("run", "tell"):
            continue
        copy = tmp_path / name.replace(" ", "-")
        shutil.copytree(whole, copy)
        way = damaged(copy / STORE_NAME, seed)
        path = copy / STORE_NAME
        before = path.read_bytes() if path.exists() else None
        ended = sentinel(*commands(copy, copy)[name])

        assert not ended.traceback, (way, name, ended.err)
        if way in {one.__name__ for one in ALWAYS_TOLD}:
            assert ended.way_back, (way, name, ended)
            assert (path.read_bytes() if path.exists() else None) == before, (way, name)
        if ended.code:
            assert ended.way_back, (way, name, ended)
            assert len(ended.err.strip().splitlines()) == 1, (way, name, ended.err)
        shutil.rmtree(copy)


@pytest.mark.parametrize("seed", [2, 4, 10, 11])
def test_a_command_of_its_own_process_says_the_same(farm: Path, seed: int) -> None:
    """Pages of zeros, a cut end, an empty file, none: one sentence and exit code 4."""
    damaged(farm / STORE_NAME, seed)
    ended = run("once", farm)

    assert (ended.code, ended.way_back, ended.traceback) == (4, True, False)


def test_verify_and_backup_find_what_the_quick_look_does_not(farm: Path, tmp_path: Path) -> None:
    """A column that holds no JSON: verify names it, and a backup is not made, so that good ones are kept."""
    with contextlib.closing(sqlite3.connect(farm / STORE_NAME)) as conn, conn:
        conn.execute("update settings set text = '{'")
    verified, copied = sentinel("verify", farm), sentinel("backup", tmp_path / "copy.db", "--farm", farm)

    assert "settings says in text cannot be read" in verified.said
    assert (verified.code, copied.code) == (4, 4)
    assert copied.way_back
    assert not list(tmp_path.glob("copy.db*"))


def test_a_store_whose_log_was_changed_is_copied_and_told(farm: Path, tmp_path: Path) -> None:
    """Nothing that is decided rests on old entries, so the rows are worth a copy; the exit code is not 0."""
    with contextlib.closing(sqlite3.connect(farm / STORE_NAME)) as conn, conn:
        conn.execute("drop trigger log_is_never_changed")
        conn.execute("update log set person = 'Nobody' where seq = 2")
    ended = sentinel("backup", tmp_path / "copy.db", "--farm", farm)

    assert ended.code != 0
    assert "the log is not whole: entry 2" in ended.said
    assert (tmp_path / "copy.db").is_file()
    assert "entry 2" in sentinel("restore", tmp_path / "copy.db", "--farm", farm).said


def test_a_damaged_write_ahead_log_goes_back_to_the_last_whole_commit(farm: Path) -> None:
    """What was committed before the damage is there, what came after is not, and the store works on."""
    way = next(seed for seed in range(len(WAYS)) if WAYS[seed].__name__ == "in_wal")
    damaged(farm / STORE_NAME, way)
    with opened(farm / STORE_NAME) as store:
        kept = [int(row["key"].split()[1]) for row in fetch(store, "select key from meta where key like 'key %'")]

    assert sorted(kept) == list(range(len(kept)))
    assert len(kept) < 20
    assert sentinel("once", farm).code == 0
    assert sentinel("verify", farm).code == 0


# --- a store that is gone --------------------------------------------------------------------------------


@pytest.mark.parametrize("trace", [STORE_NAME + MARK, "sentinel.lock", "photos", STORE_NAME + "-wal"])
@pytest.mark.parametrize("empty", [True, False])
def test_a_store_that_is_gone_or_empty_is_not_begun_anew(farm: Path, trace: str, empty: bool) -> None:
    """Any trace of it is enough; nothing is made in its place."""
    for name in (STORE_NAME, STORE_NAME + MARK, "sentinel.lock"):
        (farm / name).unlink()
    if trace == "photos":
        (farm / trace).mkdir()
    else:
        (farm / trace).write_text("left over")
    if empty:
        (farm / STORE_NAME).write_bytes(b"")
    ended = sentinel("once", farm)

    assert (ended.code, ended.way_back) == (4, True)
    assert trace in ended.said
    assert not (farm / STORE_NAME).exists() or not (farm / STORE_NAME).stat().st_size


def test_a_new_folder_begins_without_a_question(farm: Path) -> None:
    """No trace of a store, or an empty file that a start left which was ended at once: all is read anew."""
    for left in (False, True):
        for path in (*farm.glob("sentinel.*"),):
            path.unlink()
        if left:
            (farm / STORE_NAME).write_bytes(b"")
        assert sentinel("once", farm).code == 0
        assert (farm / (STORE_NAME + MARK)).is_file()


# --- the way back ----------------------------------------------------------------------------------------


def rows(farm: Path) -> set[tuple[object, ...]]:
    """The visits that the store knows."""
    with opened(farm / STORE_NAME) as store:
        return {tuple(row) for row in fetch(store, "select cow, start, box, outcome from visits")}


def test_a_backup_comes_back_and_exports_that_came_since_are_read_again(farm: Path, tmp_path: Path) -> None:
    """The damaged store is set aside whole; what was answered since is lost and said so; every row is there again."""
    copy = tmp_path / "copy.db"
    assert sentinel("backup", copy, "--farm", farm).code == 0
    export(farm, "since.csv", 20, "failed", 8000)
    assert sentinel("once", farm).code == 0
    assert sentinel("answer", "1", "--by", "Operator", "--note", "since", "--farm", farm).code == 0
    before = rows(farm)
    damaged(farm / STORE_NAME, 2)
    broken = (farm / STORE_NAME).read_bytes()
    assert sentinel("once", farm).code == 4

    ended = sentinel("restore", copy, "--farm", farm)
    [aside] = farm.glob("set-aside-*")

    assert ended.code == 0, ended.err
    assert (aside / STORE_NAME).read_bytes() == broken
    assert "2 exports in" in ended.out
    assert "The store is back as it was at 20" in ended.out
    assert "brought back from a backup" in sentinel("history", farm, "--kind", "problem").out
    assert rows(farm) < before
    assert sentinel("once", farm).code == 0
    assert rows(farm) == before
    assert sentinel("verify", farm).code == 0
    assert "since" not in sentinel("history", farm, "--kind", "answer").out
    assert sorted(path.name for path in farm.glob(".*")) == []


def test_a_backup_that_is_damaged_is_refused_and_nothing_is_changed(farm: Path, tmp_path: Path) -> None:
    """Before anything is touched: not whole, no store, not there."""
    copy = tmp_path / "copy.db"
    assert sentinel("backup", copy, "--farm", farm).code == 0
    before = (farm / STORE_NAME).read_bytes()
    damaged(copy, 2)
    (tmp_path / "text.db").write_text("Cow;Start\n" * 999)
    for given in (copy, tmp_path / "text.db", tmp_path / "nothing.db"):
        ended = sentinel("restore", given, "--farm", farm)
        assert (ended.code, given.name in ended.said, ended.traceback) == (2, True, False), ended.err

    assert (farm / STORE_NAME).read_bytes() == before
    assert not list(farm.glob("set-aside-*"))


def test_photos_come_back_with_the_store(farm: Path, tmp_path: Path) -> None:
    """Missing ones are brought, damaged ones set aside and replaced, whole ones left; nothing is deleted."""
    from PIL import Image

    from sentinel.edges.photos import Photos

    names = []
    for shade in (0, 100, 200):
        picture = io.BytesIO()
        Image.new("RGB", (9, 9), (shade, 0, 0)).save(picture, "PNG")
        names.append(Photos(farm).put(picture.getvalue()))
    assert sentinel("backup", tmp_path / "copy.db", "--farm", farm).code == 0
    photos = farm / "photos"
    content = {name: (photos / str(name)).read_bytes() for name in names}
    (photos / str(names[0])).unlink()
    (photos / str(names[1])).write_bytes(b"\0" * 99)

    ended = sentinel("restore", tmp_path / "copy.db", "--farm", farm)
    [aside] = farm.glob("set-aside-*")

    assert {name: (photos / str(name)).read_bytes() for name in names} == content
    assert (aside / "photos" / str(names[1])).read_bytes() == b"\0" * 99
    assert "Photos brought back: 2, 1 of them damaged here." in ended.out


def test_a_link_sent_before_opens_nothing_after_a_store_came_back(farm: Path, tmp_path: Path) -> None:
    """Numbers of alerts are given again: what a notice's link opened then would be another alert."""
    from sentinel.edges.store.access import PageAccess

    assert sentinel("backup", tmp_path / "copy.db", "--farm", farm).code == 0
    assert sentinel("restore", tmp_path / "copy.db", "--farm", farm).code == 0
    with opened(farm / STORE_NAME) as store:
        shut = PageAccess(store).shut_until("Operator")

    assert shut is not None


@pytest.mark.parametrize("moved", range(5))
def test_a_restore_that_is_cut_short_leaves_a_sentence_or_a_store(farm: Path, tmp_path: Path, moved: int) -> None:
    """After each of its steps: the old store, none (said as such), or the new one; done again it ends well."""
    from sentinel.edges.store.copies import PARTS, made_ready

    assert sentinel("backup", tmp_path / "copy.db", "--farm", farm).code == 0
    damaged(farm / STORE_NAME, 2)
    made_ready(tmp_path / "copy.db", farm, STORE_NAME)
    (farm / "aside").mkdir()
    for end in PARTS[:moved]:
        if (farm / (STORE_NAME + end)).exists():
            (farm / (STORE_NAME + end)).rename(farm / "aside" / (STORE_NAME + end))
    assert sentinel("once", farm).way_back
    assert sentinel("restore", tmp_path / "copy.db", "--farm", farm).code == 0
    assert sentinel("once", farm).code == 0


# --- a service at work -----------------------------------------------------------------------------------


def test_a_service_that_finds_its_store_damaged_tells_people_once(farm: Path, phone: Phone) -> None:
    """Started three times, as the computer would: each ends with the sentence, and the phone rings once."""
    damaged(farm / STORE_NAME, 2)
    before = len(phone.messages)
    ends = [run("run", farm, timeout=60) for _ in range(3)]

    assert [(end.code, end.way_back) for end in ends] == [(4, True)] * 3
    told = phone.messages[before:]
    assert [message.title for message in told] == ["My farm: nothing is being watched"]
    assert "sentinel restore" in told[0].body


@pytest.mark.timeout(120)
def test_a_service_at_work_whose_store_is_taken_away_tells_people_and_ends(farm: Path, phone: Phone) -> None:
    """Nothing that is written goes into a file that is not there any more; started again it makes no new one."""
    before = len(phone.messages)
    process = subprocess.Popen(
        [sys.executable, "-m", "sentinel", "run", str(farm)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    for line in process.stdout:
        if line.startswith("On the way"):
            break
    (farm / STORE_NAME).unlink()
    out, err = process.communicate(timeout=90)

    assert process.returncode == 4, err
    assert "taken away" in err
    assert "sentinel restore" in err.strip().splitlines()[-1]
    assert "Traceback" not in out + err
    assert "My farm: nothing is being watched" in [message.title for message in phone.messages[before:]]
    assert not (farm / STORE_NAME).exists()


def test_damage_that_any_thread_meets_is_remembered_and_nothing_more_is_written(farm: Path) -> None:
    """The first read of a broken page says it; from then on the store takes no writing."""
    store = Store(farm / STORE_NAME)
    store.conn.execute("pragma cache_size = 0")
    store.conn.execute("pragma wal_checkpoint(truncate)")
    with (farm / STORE_NAME).open("r+b") as file:
        file.seek(4096)
        file.write(bytes((farm / STORE_NAME).stat().st_size - 4096))
    with pytest.raises(sqlite3.DatabaseError):
        fetch(store, "select * from visits")

    with pytest.raises(DamagedError, match="sentinel restore"):
        store.put_meta("a", "b")
    store.conn.close()


def test_a_look_before_opening_writes_nothing_beside_a_store_that_is_closed(farm: Path) -> None:
    """The quick look of a whole store finds nothing and leaves its bytes as they are."""
    before = (farm / STORE_NAME).read_bytes()

    assert at_first_sight(farm / STORE_NAME) == ""
    assert (farm / STORE_NAME).read_bytes() == before
