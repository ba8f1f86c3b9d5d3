"""A draft of a map reads the sample it was made from, or says what to fill in."""

import io
import json
from datetime import datetime, timedelta
from typing import Any

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sentinel.flow.feeds import draft_feed_map, load_feed_map, read_export
from sentinel.flow.model import Batch, Export


def draft(content: str | bytes, name: str = "milkings_2026-03-28_0700.csv") -> tuple[str, Export]:
    """A draft from a sample, and the sample."""
    export = Export(name, content.encode() if isinstance(content, str) else content, 0)
    return draft_feed_map(export, "Europe/Dublin"), export


def read(content: str | bytes, name: str = "milkings_2026-03-28_0700.csv") -> tuple[str, Batch]:
    """A draft that loads, and what it reads from its own sample."""
    text, export = draft(content, name)
    feed, problems = load_feed_map(text, "draft.yaml")
    assert problems == [], f"{problems}\n{text}"
    assert feed is not None
    return text, read_export(feed, export, "Europe/Dublin")


def columns(batch: Batch) -> dict[str, set[str]]:
    """The columns of each table."""
    return {r.table: set(r.columns) for r in batch.rows}


QUARTERS = ("LF", "RF", "LR", "RR")

ENGLISH = (
    "Visit start;Milking box;Animal number;Result;Duration;Yield kg;"
    + ";".join(f"{q} mS/cm 25 °C;{q} kg;{q} kicked off" for q in QUARTERS)
    + "\n28.03.2026 06:30:10;2;217;complete;7:12;12,4"
    + ";5,10;3,1;no" * 4
    + "\n28.03.2026 06:41:10;1;9;stopped early;3:02;2,4;;;"
    + ";5,10;3,1;yes" * 3
    + "\n28.03.2026 06:49:10;3;44;not due;0:32;"
    + ";;;" * 4
    + "\n"
)


def test_a_drafted_map_reads_its_own_sample() -> None:
    """Delimiter, decimal comma, encoding, date order, units, words and quarters, each with its confidence."""
    text, batch = read(ENGLISH.encode("cp1252"))

    assert batch.set_aside == ()
    assert columns(batch)["visits"] == {"cow", "start", "box", "duration_s", "outcome", "milk_kg"}
    assert columns(batch)["quarters"] >= {"quarter", "conductivity_mS_cm", "milk_kg", "kicked_off"}
    first = dict(zip(batch.rows[0].columns, batch.rows[0].values[0], strict=True))
    assert first == {
        "cow": "217",
        "start": 1774679410,
        "box": "2",
        "duration_s": 432.0,
        "outcome": "milked",
        "milk_kg": 12.4,
    }
    assert [len(r.values) for r in batch.rows] == [3, 7]
    assert 'files: "milkings_*.csv"' in text
    assert "encoding: cp1252" in text
    assert "QUESTION: it is not utf-8 text" in text
    assert "%: which box" in text
    assert "zone: Europe/Dublin   # QUESTION" in text
    assert '# complete_until: {from: file_name, pattern: "milkings_%Y-%m-%d_%H%M"}' in text


@pytest.mark.parametrize(
    ("titles", "labels", "words"),
    [
        ("Kuhnummer,Melkbeginn,Melkbox,Milchmenge,Ergebnis", ("VL", "VR", "HL", "HR"), ("gemolken", "abgewiesen")),
        ("Koenummer,Starttijd,Melkbox,Melkgift,Resultaat", ("LV", "RV", "LA", "RA"), ("gemolken", "geweigerd")),
        ("Konummer,Starttid,Boks,Ydelse,Resultat", ("VF", "HF", "VB", "HB"), ("malket", "afvist")),
        ("Numéro vache,Heure début,Stalle,Lait,Résultat", ("AVG", "AVD", "ARG", "ARD"), ("traite", "refusé")),
    ],
)
def test_other_languages_are_understood(titles: str, labels: tuple[str, ...], words: tuple[str, str]) -> None:
    """German, Dutch, Danish and French titles, words and quarters."""
    head = ",".join([titles, *(f"{label} kg" for label in labels)])
    text, batch = read(
        f"{head}\n217,2026-03-28T06:30:00Z,2,12.4,{words[0]},3,3,3,3.4\n218,2026-03-28T06:40:00Z,1,,{words[1]},,,,\n"
    )

    assert batch.set_aside == ()
    assert [r[-2] for r in batch.rows[0].values] == ["milked", "refused"], text
    assert [r[2] for r in batch.rows[1].values] == ["LF", "RF", "LR", "RR"]
    assert "zone" not in text  # the times say it


def test_a_date_that_can_be_read_two_ways_is_a_question() -> None:
    """03/04 may be April 3rd or March 4th: both are named."""
    text, _ = draft("Cow,Start,Box\n217,03/04/2026 06:30,2\n218,03/04/2026 06:40,1\n")

    assert 'times: "%d/%m/%Y %H:%M"   # QUESTION: %m/%d/%Y %H:%M would fit too' in text
    text, _ = draft("Cow,Start,Box\n217,03/14/2026 06:30,2\n218,03/04/2026 06:40,1\n")
    assert 'times: "%m/%d/%Y %H:%M"\n' in text


def test_conductivity_without_its_temperature_is_for_a_person_to_fill_in() -> None:
    """The draft does not load until it is said, and both say why."""
    text, _ = draft("Cow,Start,Box," + ",".join(f"Cond{q}" for q in QUARTERS) + "\n9,2026-03-28 06:30,2" + ",5900" * 4)
    feed, problems = load_feed_map(text, "d.yaml")

    assert feed is None
    assert ["reference_temperature_C" in one.message for one in problems] == [True]
    assert "FILL IN reference_temperature_C" in text
    assert 'column: "Cond{quarter}", unit: uS/cm' in text
    assert load_feed_map(text.replace("unit: uS/cm", "unit: uS/cm, reference_temperature_C: 25"), "d.yaml")[1] == []


def test_a_missing_key_and_unknown_words_are_for_a_person_to_fill_in() -> None:
    """What was not found is named, and the map's check says the same."""
    text, _ = draft("Cow,Box,Milk,Result\n217,2,12.4,done\n218,1,9.5,zzzzz\n")
    _, problems = load_feed_map(text, "d.yaml")

    assert "# FILL IN start: ..." in text
    assert "# zzzzz: FILL IN one of milked, incomplete, failed, refused" in text
    assert [one.message.split(":")[0] for one in problems] == ["start"]


def test_a_workbook_is_drafted_with_its_dates() -> None:
    """A box log with spreadsheet dates; words it does not know are left to a person."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    begin = datetime(2026, 5, 4, 6)  # noqa: DTZ001
    sheet.append(("When", "Box", "Entry", "Remark"))
    for i, word in enumerate(("filter changed", "washed", "arm calibrated", "zzzzz")):
        sheet.append((begin + timedelta(hours=i), i % 3 + 1, word, None))
    out = io.BytesIO()
    book.save(out)
    text, batch = read(out.getvalue(), "boxlog.xlsx")

    assert [r[2] for r in batch.rows[0].values] == ["filter_changed", "washed", "arm_calibrated"], text
    assert [one.line for one in batch.set_aside] == [5]


def test_a_list_of_cows_and_json_lines_are_drafted() -> None:
    """The table is told by its columns."""
    text, batch = read(
        "Cow no;Group;Lactation;Calved;Status;Since\n9;B;3;01.02.2026;in milk;28.03.2026 00:00\n", "cows.csv"
    )
    assert [r.table for r in batch.rows] == ["cows"], text
    assert batch.rows[0].values[0][2:5] == ("B", 3, 1769904000)

    lines = [
        {"tank": "1", "at": "2026-03-28T06:30:00Z", "milk": {"temperature": 3.9}, "litres": 4200 + i} for i in range(3)
    ]
    text, batch = read("".join(json.dumps(one) + "\n" for one in lines), "tank.jsonl")
    assert [r.table for r in batch.rows] == ["tank"], text
    assert batch.rows[0].values[2][2:] == (3.9, 4202.0)


def test_an_icar_file_needs_no_map() -> None:
    """The draft says so."""
    text, _ = draft('{"member": [{"milkingStartingDateTime": "x"}]}', "v.json")

    assert "read without a map" in text


@settings(max_examples=40, deadline=None)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=200).map(lambda t: t.encode("utf-8", "surrogatepass"))))
def test_no_file_is_too_strange_to_draft_from(content: bytes) -> None:
    """Whatever the bytes, text comes back that can be stored, and checking it gives a map or problems."""
    text, _ = draft(content, "x.csv")

    assert text.encode()
    feed, problems = load_feed_map(text, "d.yaml")
    assert (feed is None) == bool(problems)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.text(st.characters(exclude_categories=["Cs"]), max_size=8), min_size=2, max_size=6),
    st.lists(
        st.lists(st.sampled_from(["", "217", "1,5", "ok", "28.03.2026", "6:30", "x y", "#"]), max_size=6), max_size=5
    ),
)
def test_strange_titles_are_quoted(titles: list[str], body: Any) -> None:
    """Any title makes YAML that parses."""
    rows = [";".join(json.dumps(t, ensure_ascii=False) for t in titles), *(";".join(r) for r in body)]
    text, _ = draft("\n".join(rows), "x.csv")
    _, problems = load_feed_map(text, "d.yaml")

    assert not [p for p in problems if "not valid YAML" in p.message], text


@pytest.mark.timeout(60)
@pytest.mark.parametrize(
    "titles",
    [[f"Milk {n} kg" for n in range(3000)], ["milk " * 20_000, "cow " * 20_000]],
    ids=["many columns", "long titles"],
)
def test_a_draft_takes_seconds_whatever_the_file_holds(titles: list[str]) -> None:
    """Of very many columns only some are looked at, and of very long titles only the beginning."""
    row = ";".join(str(n % 90) for n in range(len(titles)))
    text, _ = draft(";".join(titles) + f"\n{row}" * 30, "x.csv")

    assert "feed: x" in text
    assert ("QUESTION: of 3,000 columns" in text) == (len(titles) > 2)


def test_gallons_are_always_asked_the_zone_only_says_which_come_first() -> None:
    """3.785 l or 4.546 l: no figures tell them apart."""
    rows = "".join(f"1,2026-03-28 {n:02d}:00,3.{n % 9},{400 + 40 * n}\n" for n in range(20))
    text = "Tank,When,Temp C,Gallons\n" + rows
    irish = draft_feed_map(Export("t.csv", text.encode(), 0), "Europe/Dublin")
    other = draft_feed_map(Export("t.csv", text.encode(), 0), "America/Chicago")

    assert "litres: {column: Gallons, unit: imperial_gallon}   # QUESTION: is it in imperial_gallon or gallon?" in irish
    assert "litres: {column: Gallons, unit: gallon}   # QUESTION: is it in gallon or imperial_gallon?" in other


def test_a_field_that_every_row_needs_is_asked_with_what_it_may_be() -> None:
    """A tank's name in a column that says nothing, a day and a clock of twelve hours; a box has a line always."""
    rows = "".join(
        f"{8 + n // 24}/11/2026,{(n % 12) or 12}:00 {'am' if n % 24 < 12 else 'pm'},BT1,"
        f"{38 + n % 5 / 10:.1f},{400 + 30 * n % 900}\n"
        for n in range(72)
    )
    text = draft_feed_map(Export("t.csv", f"D,T,Tk,F milk,Gal\n{rows}".encode(), 0), "Europe/Dublin")
    visits, _ = draft("Cow,Start,Milk\n217,2026-03-28 06:30,12.4\n218,2026-03-28 06:40,9.5\n")

    assert 'tank: Tk   # QUESTION: is it "Tk" (BT1)?' in text
    assert "at: {columns: [D, T]}   # " in text
    assert 'times: "%d/%m/%Y %I:%M %p"' in text
    assert "temperature_C: {column: F milk, unit: degF}" in text
    assert "FILL IN" not in text
    assert "    # box: ...   # not found" in visits
