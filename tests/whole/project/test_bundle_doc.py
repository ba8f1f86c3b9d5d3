"""The lines of Python in `deploy/bundle.md` check a bundle without sentinel; they are run here as they stand there."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from bundles import small_bundle

from sentinel.edges.bundle_files import write_bundle
from sentinel.flow.bundle.form import LINES, LOG, MANIFEST, whole

DOC = Path(__file__).parents[3] / "deploy" / "bundle.md"


def the_lines() -> str:
    """The code in the document."""
    [code] = re.findall(r"```python\n(.*?)```", DOC.read_text(encoding="utf-8"), re.DOTALL)
    return str(code)


def said_of(folder: Path) -> str:
    """What these lines print of a folder, by a Python that has nothing of ours."""
    run = [sys.executable, "-I", "-c", the_lines(), str(folder)]
    return subprocess.run(run, capture_output=True, text=True, check=True, timeout=60, encoding="utf-8").stdout.strip()


def test_they_are_twenty_lines() -> None:
    """So that they can be read, and typed."""
    assert len([line for line in the_lines().splitlines() if line]) == 20


def test_they_find_a_bundle_whole(tmp_path: Path) -> None:
    """And say the hash that a seal is compared with."""
    files = small_bundle()
    write_bundle(tmp_path / "b", files)
    last = files[LOG].splitlines()[-1][:64].decode()

    assert said_of(tmp_path / "b") == f"whole; the last hash is {last}"


@pytest.mark.parametrize("name", sorted(small_bundle()))
def test_they_find_what_was_altered(tmp_path: Path, name: str) -> None:
    """One byte in the middle of each file."""
    files = small_bundle()
    middle = len(files[name]) // 2
    files[name] = files[name][:middle] + bytes([files[name][middle] ^ 1]) + files[name][middle + 1 :]
    write_bundle(tmp_path / "b", files)

    said = subprocess.run(
        [sys.executable, "-I", "-c", the_lines(), str(tmp_path / "b")], capture_output=True, text=True, check=False
    )
    assert said.returncode != 0 or "was changed" in said.stdout


def test_they_find_an_entry_taken_out_though_the_digests_are_made_anew(tmp_path: Path) -> None:
    """The chain tells, and names the entry."""
    files = {name: data for name, data in small_bundle().items() if name not in (MANIFEST, LINES)}
    lines = files[LOG].splitlines(keepends=True)
    write_bundle(tmp_path / "b", whole({**files, LOG: b"".join(lines[:2] + lines[3:])}))

    assert "entry 3 of log.txt" in said_of(tmp_path / "b") or "entry 4 of log.txt" in said_of(tmp_path / "b")


def test_they_find_another_text_where_a_name_was_replaced(tmp_path: Path) -> None:
    """What the entry says since is vouched for."""
    files = {name: data for name, data in small_bundle().items() if name not in (MANIFEST, LINES)}
    files[LOG] = files[LOG].replace(b"Helper 1 was there", b"Helper 2 was there")
    write_bundle(tmp_path / "b", whole(files))

    assert said_of(tmp_path / "b") == "entry 3 of log.txt was changed"


def test_they_find_a_file_that_was_put_in(tmp_path: Path) -> None:
    """It is in no manifest."""
    write_bundle(tmp_path / "b", {**small_bundle(), "extra.csv": b"a"})

    assert said_of(tmp_path / "b") == "extra.csv was put in"
