"""A bundle on disk: whole or not there; read again from a folder and from a zip; Parquet where it can be written."""

from __future__ import annotations

import importlib.util
import io
import zipfile
from pathlib import Path

import pytest
from bundles import small_bundle

from sentinel.edges import bundle_files
from sentinel.edges.bundle_files import is_bundle, parquet, read_bundle, write_bundle
from sentinel.errors import UsageError
from sentinel.flow.bundle.form import MANIFEST


@pytest.mark.parametrize("name", ["b", "b.zip"])
def test_what_is_written_is_read_again(tmp_path: Path, name: str) -> None:
    """Byte for byte, as a folder or as a zip file; nothing is left beside it."""
    write_bundle(tmp_path / name, small_bundle())

    assert is_bundle(tmp_path / name, MANIFEST)
    assert read_bundle(tmp_path / name) == small_bundle()
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_what_is_there_is_never_overwritten(tmp_path: Path) -> None:
    """A folder or a file of that name is refused."""
    (tmp_path / "b").mkdir()

    with pytest.raises(UsageError, match="already exists"):
        write_bundle(tmp_path / "b", small_bundle())
    assert not is_bundle(tmp_path / "b", MANIFEST)


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 cut short", b"no zip at all"])
def test_a_file_that_is_no_zip_is_refused(tmp_path: Path, content: bytes) -> None:
    """With a sentence, whatever is in it."""
    (tmp_path / "b.zip").write_bytes(content)

    with pytest.raises(UsageError, match="cannot be read"):
        read_bundle(tmp_path / "b.zip")


def test_a_zip_that_unpacks_to_too_much_is_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its directory says how much it is; nothing is unpacked."""
    with zipfile.ZipFile(tmp_path / "b.zip", "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("a.csv", b"0" * 100_000)
    monkeypatch.setattr(bundle_files, "MOST_BYTES", 50_000)

    with pytest.raises(UsageError, match="that is no bundle"):
        read_bundle(tmp_path / "b.zip")


def test_parquet_is_written_or_what_it_wants_is_said() -> None:
    """Figures stay figures and nothing stays nothing; without the package one sentence says how to get it."""
    columns, rows = ("tank", "litres", "cells"), [("1", 900, 212.5), ("2", None, 300)]
    if importlib.util.find_spec("pyarrow") is None:
        with pytest.raises(UsageError, match=r"pip install 'sentinel-farm\[parquet\]'"):
            parquet(columns, rows)
        return
    import pyarrow.parquet as pq

    found = pq.read_table(io.BytesIO(parquet(columns, rows))).to_pylist()
    assert found == [
        {"tank": "1", "litres": 900, "cells": 212.5},
        {"tank": "2", "litres": None, "cells": 300.0},
    ]
