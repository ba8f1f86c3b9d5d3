"""A bundle that was changed in any way: it is found, and said where."""

from __future__ import annotations

import pytest
from bundles import small_bundle

from sentinel.flow.bundle.form import LINES, LOG, MANIFEST, REPLACED, manifest_text, whole
from sentinel.flow.bundle.verify import broken_bundle, log_of


def where(files: dict[str, bytes]) -> list[tuple[str, int]]:
    """The files and lines in which something is found."""
    return [(one.source.name, one.source.line) for one in broken_bundle(files)]


def test_a_bundle_as_it_was_made_is_whole() -> None:
    """Nothing is found, and its log is told."""
    files = small_bundle()

    assert broken_bundle(files) == []
    assert log_of(files).last == 6 and len(log_of(files).hashes) == 6


@pytest.mark.parametrize("name", sorted(small_bundle()))
def test_every_byte_that_is_altered_is_found_in_its_file_and_line(name: str) -> None:
    """Each bit pattern one off: the file is named, and the line, but in the two files that hold only digests."""
    files = small_bundle()
    data = files[name]
    for place in range(len(data)):
        altered = bytes([*data[:place], data[place] ^ 1, *data[place + 1 :]])
        found = where({**files, name: altered})
        line = 0 if name in (MANIFEST, LINES) else data[:place].count(b"\n") + 1
        assert (name, line) in found, (place, found)


@pytest.mark.parametrize("name", sorted(small_bundle()))
def test_every_file_that_is_taken_away_is_found(name: str) -> None:
    """Also the manifest itself."""
    files = small_bundle()
    del files[name]

    assert (name, 0) in where(files)


def test_a_file_that_was_put_in_is_found() -> None:
    """It stands in no manifest."""
    assert where({**small_bundle(), "extra.csv": b"a"}) == [("extra.csv", 0)]


def lines_of_log(files: dict[str, bytes]) -> list[bytes]:
    """The log's lines."""
    return files[LOG].splitlines(keepends=True)


@pytest.mark.parametrize("line", range(1, 7))
def test_an_entry_taken_out_or_moved_is_found_though_all_digests_are_made_anew(line: int) -> None:
    """Whoever can make a manifest cannot make the chain fit: the entry that does not is named."""
    files = small_bundle()
    plain = {name: data for name, data in files.items() if name not in (MANIFEST, LINES)}
    lines = lines_of_log(files)
    without = whole({**plain, LOG: b"".join(lines[:line] + lines[line + 1 :])})
    swapped = lines[:]
    swapped[line - 1 if line > 1 else 1], swapped[line] = swapped[line], swapped[line - 1 if line > 1 else 1]
    moved = whole({**plain, LOG: b"".join(swapped)})

    assert [name for name, _ in where(moved)] == ([LOG] if line > 1 else [])
    if line < 6:  # of the last one only a seal can tell
        assert where(without) == [(LOG, line + 1 if line > 1 else 2)] or where(without)[0][0] == LOG


def test_an_entry_with_a_replaced_name_is_vouched_for_by_the_one_that_did_it() -> None:
    """Another text in it, or another digest for it, is found though the manifest was made anew."""
    files = {name: data for name, data in small_bundle().items() if name not in (MANIFEST, LINES)}
    other = whole({**files, LOG: files[LOG].replace(b"Helper 1 was there", b"Helper 2 was there")})
    digest = files[REPLACED].split()[2]
    listed = whole({**files, REPLACED: files[REPLACED].replace(digest, b"0" * 64)})

    assert where(other) == [(LOG, 4)]
    assert [name for name, _ in where(listed)] == [LOG]


def test_a_manifest_that_names_less_hides_nothing() -> None:
    """A file that it no longer names was put in; what it names and is not there is missing."""
    files = small_bundle()
    fewer = {name: data for name, data in files.items() if name not in (MANIFEST, "tank.csv")}
    files[MANIFEST] = manifest_text(fewer).encode()

    assert where(files) == [("tank.csv", 0)]


@pytest.mark.parametrize("data", [b"", b"\n", b"\xff\xfe", b"x" * 1000, b"a  b\n" * 50])
@pytest.mark.parametrize("name", [MANIFEST, LOG, LINES, REPLACED])
def test_rubbish_is_found_and_stops_nothing(name: str, data: bytes) -> None:
    """Whatever stands in a file, the answer is a list of problems."""
    assert broken_bundle({**small_bundle(), name: data})
