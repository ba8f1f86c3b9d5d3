"""Links in the inbox: what leads out of it is not followed, whoever changes it when; one that stays inside is."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from sentinel.edges.inbox import Inbox, Scan
from sentinel.edges.inbox.inside import LEADS_OUT, leads_out, open_inside

HEAD = b"cow;start;kg\n"
KEY = b"thekeyofpage\n"
LATER_S = 1e11
"""A moment at which every file is old."""

pytestmark = pytest.mark.skipif(os.name != "posix", reason="symbolic links as Unix knows them")

_at_opening: list[tuple[str, Callable[[], None]]] = []
_armed = threading.Event()


def _listen(event: str, args: tuple[object, ...]) -> None:
    """Just before a path that ends so is opened, do something: the moment in which somebody might change it."""
    if _armed.is_set() and event == "open" and _at_opening and str(args[0]).endswith(_at_opening[0][0]):
        _at_opening.pop(0)[1]()


sys.addaudithook(_listen)


@pytest.fixture
def changed() -> Iterator[list[tuple[str, Callable[[], None]]]]:
    """What is changed at the very moment of opening: the end of a path, and what is done."""
    _armed.set()
    yield _at_opening
    _armed.clear()
    _at_opening.clear()


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """A farm folder with a key in it and an inbox beside that."""
    (tmp_path / "page.key").write_bytes(KEY)
    (tmp_path / "exports").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "visits.csv").write_bytes(KEY)
    return tmp_path


def scans(folder: Path, count: int = 1) -> list[Scan]:
    """Looks at a folder, a quarter of a minute apart."""
    inbox = Inbox(folder, {})
    return [inbox.scan(1000.0 + 15 * n, LATER_S) for n in range(count)]


def told(scan: Scan) -> list[str]:
    """What a look complains of."""
    return [str(problem) for problem in scan.problems]


def test_a_link_to_the_pages_key_is_not_read_and_told_once(farm: Path) -> None:
    """A file that is a link out of the inbox gives nothing, at no later look either."""
    (farm / "exports" / "visits.csv").symlink_to(farm / "page.key")
    (farm / "exports" / "up.csv").symlink_to("../page.key")
    (farm / "exports" / "own.csv").write_bytes(HEAD)
    first, second = scans(farm / "exports", 2)

    assert [found.name for found in first.files] == ["own.csv"]
    assert sorted(told(first)) == [f"up.csv: {LEADS_OUT}", f"visits.csv: {LEADS_OUT}"]
    assert told(second) == []
    assert [found.name for found in second.files] == ["own.csv"]  # not settled here, so given again


def test_a_linked_folder_that_leads_out_is_not_gone_into(farm: Path) -> None:
    """Nor is a link to the folder above, which would never end."""
    (farm / "exports" / "old").symlink_to(farm / "elsewhere", target_is_directory=True)
    (farm / "exports" / "up").symlink_to("..", target_is_directory=True)
    [scan] = scans(farm / "exports")

    assert scan.files == ()
    assert sorted(told(scan)) == [f"old: {LEADS_OUT}", f"up: {LEADS_OUT}"]


def test_a_chain_of_links_counts_by_where_it_ends(farm: Path) -> None:
    """Over a link in a subfolder to one outside; and one that goes out and comes back in again is inside."""
    exports = farm / "exports"
    (exports / "sub").mkdir()
    (exports / "sub" / "one.csv").symlink_to(exports / "two.csv")
    (exports / "two.csv").symlink_to(farm / "page.key")
    (exports / ".kept.csv").write_bytes(HEAD)
    (farm / "back").symlink_to(exports, target_is_directory=True)
    (exports / "round.csv").symlink_to(farm / "back" / ".kept.csv")
    [scan] = scans(exports)

    assert [(found.name, found.content) for found in scan.files] == [("round.csv", HEAD)]
    assert sorted(told(scan)) == [f"sub/one.csv: {LEADS_OUT}", f"two.csv: {LEADS_OUT}"]


def test_the_inbox_itself_may_be_a_link(farm: Path) -> None:
    """As a share often is; a folder whose name only begins like the inbox's is outside of it all the same."""
    (farm / "exports-old").mkdir()
    (farm / "exports-old" / "visits.csv").write_bytes(KEY)
    (farm / "exports" / "a.csv").write_bytes(HEAD)
    (farm / "exports" / "b.csv").symlink_to(farm / "exports-old" / "visits.csv")
    (farm / "inbox").symlink_to("exports", target_is_directory=True)
    [scan] = scans(farm / "inbox")

    assert [found.content for found in scan.files] == [HEAD]
    assert told(scan) == [f"b.csv: {LEADS_OUT}"]


def test_a_link_that_is_mended_is_read(farm: Path) -> None:
    """The file that takes its place is an export like any other."""
    path = farm / "exports" / "visits.csv"
    path.symlink_to(farm / "page.key")
    inbox = Inbox(farm / "exports", {})
    first = inbox.scan(1000.0, LATER_S)
    path.unlink()
    path.write_bytes(HEAD)
    second = inbox.scan(1015.0, LATER_S)

    assert (first.files, [found.content for found in second.files]) == ((), [HEAD])


@pytest.mark.parametrize("back", [False, True])
def test_a_file_made_a_link_at_the_moment_of_opening_gives_nothing(
    farm: Path, changed: list[tuple[str, Callable[[], None]]], back: bool
) -> None:
    """It was a file when it was looked at, and perhaps is one again when it is looked at anew."""
    path = farm / "exports" / "visits.csv"
    path.write_bytes(HEAD)

    def swap() -> None:
        path.unlink()
        path.symlink_to(farm / "page.key")

    def swap_back() -> None:
        path.unlink()
        path.write_bytes(HEAD)

    changed.append(("visits.csv", swap))
    if back:
        changed.append((str(farm / "exports"), swap_back))
    [scan] = scans(farm / "exports")

    assert KEY not in [found.content for found in scan.files]
    assert scan.files == ()


@pytest.mark.parametrize("back", [False, True])
def test_a_folder_made_a_link_at_the_moment_of_opening_gives_nothing(
    farm: Path, changed: list[tuple[str, Callable[[], None]]], back: bool
) -> None:
    """The same path now leads to another file, which is refused by what it is; also if the folder is back by then."""
    sub = farm / "exports" / "sub"
    sub.mkdir()
    (sub / "visits.csv").write_bytes(HEAD)

    def swap() -> None:
        sub.rename(farm / "exports" / ".sub")
        sub.symlink_to(farm / "elsewhere", target_is_directory=True)

    def swap_back() -> None:
        sub.unlink()
        (farm / "exports" / ".sub").rename(sub)

    changed.append(("visits.csv", swap))
    if back:
        changed.append((str(farm / "exports"), swap_back))
    [scan] = scans(farm / "exports")

    assert KEY not in [found.content for found in scan.files]
    assert scan.files == ()


def test_what_is_opened_is_what_lies_inside(farm: Path) -> None:
    """The way in is closed for the inbox's own folder, for what is above it and for what is not there."""
    root = os.path.realpath(farm / "exports")
    (farm / "exports" / "a.csv").write_bytes(HEAD)
    handle = open_inside(root, f"{root}/a.csv", os.O_RDONLY)
    content = os.read(handle, 100)
    os.close(handle)

    assert content == HEAD
    assert leads_out(root, f"{root}/../page.key")
    assert not leads_out(root, f"{root}/sub/../a.csv")
    for path in (root, f"{root}/..", f"{root}/../page.key"):
        with pytest.raises(PermissionError, match="leads out"):
            open_inside(root, path, os.O_RDONLY)
