"""`bundle`: files and a report of a span, checked without the store; and what is refused."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

import pytest
from cli.typed import sentinel

from sentinel.edges.bundle_files import read_bundle


def test_a_bundle_is_made_and_checked_without_the_store(log: Path, tmp_path: Path) -> None:
    """Its alerts, answers and report are there; a byte altered later is found, by file and line."""
    said = sentinel("bundle", tmp_path / "b", "--since", "2 d", "--farm", log)
    assert said.code == 0, said.err
    (log / "sentinel.db").rename(log / "elsewhere.db")

    assert "The bundle is whole" in sentinel("verify", tmp_path / "b").words
    files = read_bundle(tmp_path / "b")
    incidents = [json.loads(line) for line in files["incidents.jsonl"].decode().splitlines()]
    assert [(one["rule"], one["answered_by"]) for one in incidents] == [
        ("box-failures", "Operator"),
        ("box-failures", None),
    ]
    assert "'=2+5" in files["answers.csv"].decode() and "optics dirty" in files["report.html"].decode()
    path = tmp_path / "b" / "answers.csv"
    path.write_bytes(path.read_bytes().replace(b"optics dirty", b"optics dirtz"))
    found = sentinel("verify", tmp_path / "b")
    assert found.code == 2 and "answers.csv:2: was changed" in found.err


def test_the_log_says_that_it_was_made(log: Path, tmp_path: Path) -> None:
    """With the manifest's digest, which is printed too."""
    said = sentinel("bundle", tmp_path / "b.zip", "--farm", log, "--kinds", "all", "--as", "csv")
    assert said.code == 0, said.err

    [entry] = sentinel("history", log, "--kind", "bundle", "--json").records
    assert entry["body"]["manifest"] in said.words and entry["body"]["as"] == ["csv"]
    assert "The bundle is whole" in sentinel("verify", tmp_path / "b.zip").words
    assert "The log is whole" in sentinel("verify", log).words


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--kinds", "milk"), "milk is no kind; choose of incidents"),
        (("--as", "xlsx"), "xlsx is no form; choose of csv, json, parquet"),
        (("--kinds", ""), "nothing is no kind"),
        (("--since", "1 h", "--until", "2 h"), "--since must come before --until"),
        (("--since", "sometime"), "is no moment"),
    ],
)
def test_what_is_asked_wrong_is_refused(log: Path, tmp_path: Path, more: tuple[str, ...], said: str) -> None:
    """With what would be right; nothing is made."""
    found = sentinel("bundle", tmp_path / "b", "--farm", log, *more)

    assert found.code == 2 and said in found.err
    assert not (tmp_path / "b").exists()


def test_parquet_without_its_package_is_refused_with_how_to_get_it(log: Path, tmp_path: Path) -> None:
    """And nothing is made; with it, it is written beside the others."""
    found = sentinel("bundle", tmp_path / "b", "--farm", log, "--as", "csv,parquet")

    if importlib.util.find_spec("pyarrow") is None:
        assert found.code == 2 and "pip install 'sentinel-farm[parquet]'" in found.err
        assert not (tmp_path / "b").exists()
    else:
        assert found.code == 0 and (tmp_path / "b" / "incidents.parquet").is_file()
