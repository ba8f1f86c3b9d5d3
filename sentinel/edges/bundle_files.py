"""A bundle on disk, a folder or a zip file, there whole or not at all; and sheets as Parquet, where that works."""

from __future__ import annotations

import io
import os
import shutil
import zipfile
import zlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from sentinel.errors import UsageError

ZIP = ".zip"

MOST_BYTES = 2_000_000_000
"""No bundle is read that is larger, unpacked."""

MOST_FILES = 1_000


def write_bundle(target: Path, files: Mapping[str, bytes]) -> None:
    """Write a bundle to a new folder, or to a zip file by its name; raises UsageError if something is there already."""
    if target.exists():
        raise UsageError(f"{target} already exists; name a new folder, or a new file that ends in .zip")
    part = target.with_name(target.name + ".part")
    _take_away(part)
    try:
        if target.suffix == ZIP:
            with zipfile.ZipFile(part, "x", zipfile.ZIP_DEFLATED) as file:
                for name in sorted(files):
                    file.writestr(name, files[name])
        else:
            part.mkdir(mode=0o700, parents=True)
            for name, data in files.items():
                (part / name).write_bytes(data)
        os.replace(part, target)
    finally:
        _take_away(part)


def is_bundle(path: Path, manifest: str) -> bool:
    """Whether a path is a bundle: a zip file, or a folder with a manifest."""
    return (path.is_file() and path.suffix == ZIP) or (path / manifest).is_file()


def read_bundle(path: Path) -> dict[str, bytes]:
    """The files of a bundle by name; raises UsageError if it cannot be read, or is too large to be one."""
    try:
        if path.is_dir():
            paths = [one for one in sorted(path.iterdir()) if one.is_file()]
            _bounded(len(paths), sum(one.stat().st_size for one in paths), path)
            return {one.name: one.read_bytes() for one in paths}
        with zipfile.ZipFile(path) as file:
            inside = [one for one in file.infolist() if not one.is_dir()]
            _bounded(len(inside), sum(one.file_size for one in inside), path)
            return {one.filename: file.read(one) for one in inside}
    except (OSError, zipfile.BadZipFile, RuntimeError, zlib.error) as error:
        raise UsageError(f"{path} cannot be read ({error}); was it copied completely?") from error


def _bounded(files: int, size: int, path: Path) -> None:
    if files > MOST_FILES or size > MOST_BYTES:
        raise UsageError(f"{path} holds {files:,} files of {size / 1e6:,.0f} MB together; that is no bundle")


def _take_away(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def parquet(columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> bytes:
    """Rows as a Parquet file; raises UsageError where the package that writes it is not installed."""
    try:
        import pyarrow as pa  # noqa: PLC0415
        import pyarrow.parquet as pq  # noqa: PLC0415
    except ImportError as error:
        raise UsageError(
            "Parquet needs the package pyarrow, which is not installed; install it "
            "(pip install 'sentinel-farm[parquet]'), or leave parquet out: --as csv,json"
        ) from error
    values = {name: [row[place] for row in rows] for place, name in enumerate(columns)}
    arrays = {name: _column(pa, column) for name, column in values.items()}
    out = io.BytesIO()
    pq.write_table(pa.table(arrays), out)
    return out.getvalue()


def _column(pa: Any, values: Sequence[Any]) -> Any:
    """A column of one type: of figures that are whole here and not there all are decimal; of texts and others texts."""
    kinds = {type(value) for value in values if value is not None}
    if kinds <= {int} and kinds:
        return pa.array(values, pa.int64())
    if kinds and kinds <= {int, float}:
        return pa.array([None if value is None else float(value) for value in values], pa.float64())
    if kinds == {bool}:
        return pa.array(values, pa.bool_())
    return pa.array([None if value is None else str(value) for value in values], pa.string())
