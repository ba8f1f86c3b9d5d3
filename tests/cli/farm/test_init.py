"""`init`: a folder that works, and nothing overwritten."""

from __future__ import annotations

from pathlib import Path

from cli.typed import sentinel


def test_init_makes_a_folder_that_check_accepts_and_overwrites_nothing(tmp_path: Path) -> None:
    """Two runs: the second makes nothing new and keeps an edit; the secrets are the owner's alone."""
    folder = tmp_path / "farm"
    first = sentinel("init", folder, "--name", "Hillside")
    (folder / "people.yaml").write_text("- person: Anna\n  channels: [operator-phone]\n")
    second = sentinel("init", folder)

    assert (first.code, second.code) == (0, 0)
    assert f"sentinel once {folder}" in first.words
    assert "nothing new" in second.words
    assert "Anna" in (folder / "people.yaml").read_text()
    assert {p.name: p.stat().st_mode & 0o077 for p in (folder / "secrets.yaml", folder / "page.key")} == {
        "secrets.yaml": 0,
        "page.key": 0,
    }
    checked = sentinel("check", folder)
    assert (checked.code, "All good: 0 feed maps" in checked.words) == (0, True)


DEMO = Path(__file__).parents[3] / "demo_feeds" / "exports"


def test_a_farm_is_drafted_from_its_exports(tmp_path: Path) -> None:
    """A map for every kind, its boxes, chores and rounds, and what is still open by file and line; `check` takes it."""
    exports = tmp_path / "drop"
    exports.mkdir()
    for pattern in (
        "milkings_20260504_*.csv",
        "boxlog_2026-05-0[4-6]_*.xlsx",
        "tank_*.jsonl",
        "herd_*.xlsx",
        "visits_20260504T0*.json",
    ):
        for path in DEMO.glob(pattern):
            (exports / path.name).write_bytes(path.read_bytes())
    folder = tmp_path / "farm"
    said = sentinel("init", folder, "--exports", exports)
    settings = (folder / "farm.yaml").read_text()

    assert said.code == 0, said.err
    assert sorted(path.name for path in (folder / "feeds").glob("*.yaml")) == [
        "boxlog.yaml", "herd.yaml", "milkings.yaml", "tank.yaml",
    ]  # fmt: skip
    assert 'boxes: ["1", "2", "3"]   # QUESTION' in settings
    assert f'inbox: "{exports}"' in settings
    assert "filter: {places: boxes, event: filter_changed}" in settings
    assert "ICAR ADE standard, read without a map" in said.words
    assert f"{folder}/feeds/milkings.yaml:3:3: an open question" in said.out
    assert sorted(path.name for path in exports.iterdir()) == sorted({path.name for path in exports.iterdir()})
    checked = sentinel("check", folder)
    assert (checked.code, "The settings can be used (4 feed maps" in checked.words) == (0, True), checked.err
    asked = [line for line in checked.err.splitlines() if line.startswith("feeds/")]
    assert asked and all(": an open question" in line for line in asked)  # nothing of what was read is odd


def test_exports_inside_the_farm_folder_are_named_from_there(tmp_path: Path) -> None:
    """And a second run overwrites nothing."""
    folder = tmp_path / "farm"
    (folder / "drop").mkdir(parents=True)
    (folder / "drop" / "v_1.csv").write_text(
        "Cow;Start;Milk kg\n" + "".join(f"{n};2026-05-04 06:{n};9\n" for n in range(10, 30))
    )
    first = sentinel("init", folder, "--exports", folder / "drop")
    (folder / "feeds" / "v.yaml").write_text("# mine\n")
    second = sentinel("init", folder, "--exports", folder / "drop")

    assert (first.code, second.code) == (0, 0)
    assert 'inbox: "drop"' in (folder / "farm.yaml").read_text()
    assert (folder / "feeds" / "v.yaml").read_text() == "# mine\n"
    assert "nothing new" in second.words


def test_what_is_no_folder_of_exports_is_said(tmp_path: Path) -> None:
    """Nothing is made then; an empty folder is said to be empty."""
    refused = sentinel("init", tmp_path / "farm", "--exports", tmp_path / "no")
    (tmp_path / "empty").mkdir()

    assert (refused.code, "is not a folder of exports" in refused.err) == (2, True)
    assert not (tmp_path / "farm").exists()
    assert "there is no file yet" in sentinel("init", tmp_path / "farm", "--exports", tmp_path / "empty").words


def test_a_file_that_cannot_be_a_sample_is_named_and_the_others_are_drafted(tmp_path: Path) -> None:
    """Too large a workbook or JSON file, and a link, which may lead anywhere; of long text the beginning is enough."""
    drop = tmp_path / "drop"
    drop.mkdir()
    (drop / "large.jsonl").write_bytes(b"{" + b" " * 17_000_000)
    rows = "".join(f"{n % 90};2026-05-04 {n % 24:02d}:{n % 60:02d};9\n" for n in range(60_000))
    (drop / "visits.csv").write_text("Cow;Start;Milk kg\n" + rows)
    (drop / "link.csv").symlink_to(drop / "visits.csv")
    said = sentinel("init", tmp_path / "farm", "--exports", drop)

    assert "large.jsonl is too large for a sample" in said.words
    assert "1 file like visits.csv: feeds/visits.yaml (visits)" in said.words


def test_a_file_of_two_kinds_of_rows_gets_two_maps(tmp_path: Path) -> None:
    """Which share it, and can be used once the questions are answered."""
    exports = tmp_path / "out"
    exports.mkdir()
    what = ("filter changed", "washed")
    visits = [f"M;{100 + n * 17 % 60};2026-05-13 {n // 6:02}:{n % 6}3;{6 + n % 9}.{n % 10};" for n in range(60)]
    events = [f"E;{1 + n % 2};2026-05-13 {n:02}:30;;{what[n % 2]}" for n in range(12)]
    (exports / "day_20260513.csv").write_text("\n".join(["Kind;No;Time;Milk kg;Event", *visits, *events, ""]))
    said = sentinel("init", tmp_path / "farm", "--exports", exports)
    maps = {path.name: path.read_text() for path in (tmp_path / "farm" / "feeds").glob("*.yaml")}

    assert said.code == 0, said.err
    assert sorted(maps) == ["day.yaml", "day_box_log.yaml"]
    assert "only: {column: Kind, is: [M]}" in maps["day.yaml"]
    assert "only: {column: Kind, is: [E]}" in maps["day_box_log.yaml"]
