"""The form of a bundle: what each of its own files holds, so that it can be checked without sentinel."""

from __future__ import annotations

import hashlib
import json

from bundles import small_bundle, small_log

from sentinel.flow.alerts.chain import START
from sentinel.flow.bundle.form import LINES, LOG, MANIFEST, REPLACED, log_text, whole


def test_the_log_is_its_hashes_and_what_they_cover() -> None:
    """Each hash is that of the one before, a line feed and the JSON of its line, as it stands there."""
    log, _ = small_log()
    before, *lines = log_text(log).splitlines()

    assert before == START
    for place, line in enumerate(lines):
        own, _, text = line.partition(" ")
        covered = hashlib.sha256(f"{before}\n{text}".encode()).hexdigest()
        assert (covered == own) == (place != 2)  # the third had a name replaced
        assert json.loads(text)[0] == place + 1
        before = own


def test_the_manifest_names_every_file_and_itself() -> None:
    """As `sha256sum -c` reads it, but for its last line."""
    files = small_bundle()
    *lines, own = files[MANIFEST].decode().splitlines(keepends=True)

    assert [line.split("  ")[1].strip() for line in lines] == sorted(files.keys() - {MANIFEST})
    assert own == f"{hashlib.sha256(''.join(lines).encode()).hexdigest()}  manifest\n"


def test_each_line_of_each_text_has_a_digest() -> None:
    """Eight digits a line; a file without lines has none."""
    files = whole({LOG: log_text([]).encode(), REPLACED: b"", "a.csv": b"x\r\ny\r\n", "b.parquet": b"P\nQ"})
    by_name = dict(line.split(" ") for line in files[LINES].decode().splitlines())

    assert len(by_name["a.csv"]) == 16 and by_name[REPLACED] == ""
    assert by_name["a.csv"][:8] == hashlib.sha256(b"x\r\n").hexdigest()[:8]
    assert "b.parquet" not in by_name
