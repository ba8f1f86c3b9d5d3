"""What goes wrong with an export: in its bytes, its text, its lines, its packed parts, and in its name."""

from __future__ import annotations

import io
import json
import random
import struct
import zipfile
from collections.abc import Callable
from copy import deepcopy
from typing import Any
from warnings import catch_warnings, simplefilter

STRANGE = [
    *"9223372036854775807 9223372036854775808 -9223372036854775809 18446744073709551616 1e308 1e309 -1e400 nan".split(),
    *"inf -0 0x10 1_000 ٣٤٥ 1,5 1.5 1.234,5 +5 −5 true null None =1+1 @x 00 31.12.9999 0000-00-00 1e18 -1".split(),
    *"9999-12-31T23:59:59+14:00 0001-01-01T00:00:00-14:00 29.03.2026 25.10.2026 2026-13-45 ../../etc %s%n".split(),
    *["", " ", '"', '""', '"""', 'a";"b', "\x00", "\x00" * 300, "9" * 400, "9" * 5000, "1." + "3" * 200_000],
    *["x" * 200_000, "\u202e" * 50, "😀" * 500, "\ufeff", "\u2028", "\x1a", "\x0b", "\r", "\r\n\r\n", "{quarter}"],
    *["<script>alert(1)</script>", "'; drop table visits; --", "[[[[", "}}}}", "\\u0000", "\\ud800", "\x1b[2J"],
    *["25.10.2026 01:30", "31.12.9999 23:59", "01.01.0001 00:00", "01 January 9999 00:00", "9999-12-31 23:59:59.9"],
]


def in_bytes(dice: random.Random, content: bytes) -> bytes:
    """Somewhere in it something happened to its bytes."""
    at, long = dice.randrange(len(content) + 1), dice.choice([1, 1, 2, 7, 64, 1000])
    some = content[at : at + long]
    return dice.choice(
        [
            lambda: content[:at],
            lambda: content[:at] + b"\x00" * dice.choice([1, 512, 4096, len(content)]),
            lambda: content[:at] + dice.randbytes(long) + content[at + long :],
            lambda: content[:at] + content[at + long :],
            lambda: content[:at] + some * dice.choice([2, 3, 50]) + content[at:],
            lambda: content[at:] + content[:at],
            lambda: content[:at] + bytes(b ^ 1 << dice.randrange(8) for b in some) + content[at + long :],
            lambda: content.replace(
                dice.choice([b"\n", b";", b",", b'"', b"0", b"}"]), dice.choice([b"", b"\r", b'"', b"\x00", b"\n\n"])
            ),
            lambda: _blocks_swapped(dice, content),
            lambda: dice.randbytes(dice.randrange(3000)),
            lambda: b"",
        ]
    )()


def in_text(dice: random.Random, text: str, marks: str) -> str:
    """Somewhere in it a cell, a line or a mark became another."""
    begin = dice.randrange(len(text) + 1)
    end = begin
    while end < len(text) and text[end] not in marks:
        end += 1
    lines = text.split("\n")
    strange = dice.choice(STRANGE)
    flood = dice.choice(['a";"b', '"', '""";', ";" * 300, ",", "[]", "{", "\x00", "x"]) + dice.choice(["", "\n"])
    return dice.choice(
        [
            lambda: text[:begin] + strange + text[end:],
            lambda: text[:begin] + strange + text[begin:],
            lambda: "\n".join(line.replace(dice.choice("0123456789"), strange[:50]) for line in lines),
            lambda: "\n".join(dice.sample(lines, len(lines))),
            lambda: "\n".join(lines * dice.choice([2, 20])),
            lambda: text[:begin] + flood * dice.choice([3, 100, 3000]) + text[begin:],
            lambda: "\n".join(line[: dice.randrange(len(line) + 1)] for line in lines),
            lambda: "\n".join([strange, *lines[1:]]),
            lambda: text.replace(dice.choice(marks), dice.choice(marks)),
            lambda: text[:begin],
            lambda: "".join(line + dice.choice(LINE_ENDS) for line in lines),
            lambda: text[:begin] + dice.choice(HIDDEN) + text[begin:],
            lambda: _deep(dice, text, begin),
        ]
    )()


def in_table(dice: random.Random, text: str, delimiter: str) -> str:
    """Delimited lines in which titles or columns became others."""
    table = [line.split(delimiter) for line in text.split("\n")]
    here, there = dice.randrange(len(table[0])), dice.randrange(len(table[0]))
    few = dice.sample(range(len(table)), dice.randrange(len(table)) // 2 + 1)

    def shown() -> str:
        return "\n".join(delimiter.join(row) for row in table)

    def title_twice() -> None:
        table[0][here] = table[0][there]

    def title_other() -> None:
        table[0][here] = dice.choice(
            [*STRANGE[:60], table[0][here].upper(), f" {table[0][here]} ", table[0][here] + "#2"]
        )

    def column_gone() -> None:
        for row in table:
            del row[here : here + 1]

    def columns_swapped() -> None:
        for row in table:
            if len(row) > max(here, there):
                row[here], row[there] = row[there], row[here]

    def wrong_count() -> None:
        for number in few:
            table[number] = dice.choice([table[number][:here], table[number] * 2, [*table[number], "", "1"], []])

    def cell_strange() -> None:
        for number in few:
            if len(table[number]) > here:
                table[number][here] = dice.choice(STRANGE)

    def cells_quoted() -> None:
        for number in few:
            table[number] = [f'"{cell}"' if dice.random() < 0.9 else f'"{cell}' for cell in table[number]]

    def column_of_one() -> None:
        value = dice.choice(STRANGE)[:300]
        for row in table[1:]:
            if len(row) > here:
                row[here] = value

    def lines_before() -> None:
        table[:0] = [[dice.choice(["", "Export", "a" * 300, "#", "\ufeff"])] for _ in range(dice.choice([1, 3, 150]))]

    of_columns = [title_twice, title_other, column_gone, columns_swapped, column_of_one]
    dice.choice([*of_columns, wrong_count, cell_strange, cells_quoted, lines_before])()
    return shown()


LINE_ENDS = ["\n", "\r\n", "\r", "\n\r", "\x0b", "\x0c", "\x85", "\u2028", "\u2029", ""]
HIDDEN = [
    *"\u202e \u2066 \u200f \u200b \ufeff \ufffe \U000e0001 \x00 \x08 \x1b]0;x\x07 \x7f \x9b2J \u3164".split(" "),
    *["e\u0301" * 40, "\u0488" * 400, "\ufdfa" * 30, "\U0001f468\u200d\U0001f469" * 9],
]
"""What is not seen, or turns round what is: marks of direction, joiners, controls."""


def _deep(dice: random.Random, text: str, begin: int) -> str:
    """Values within values."""
    many = dice.choice([20, 900, 30_000])
    opens, closes = dice.choice([("[", "]"), ('{"a":', "}"), ('[{"a":', "}]"), ('"', '"'), ("(", ")")])
    return (
        text[:begin]
        + opens * many
        + dice.choice(["1", "null", ""])
        + closes * dice.choice([many, many - 1, 0])
        + text[begin:]
    )


def _blocks_swapped(dice: random.Random, content: bytes) -> bytes:
    """Blocks of a disk in another order, some of them twice or of another file."""
    size = dice.choice([64, 512, 4096])
    blocks = [content[at : at + size] for at in range(0, len(content), size)]
    dice.shuffle(blocks)
    return b"".join(blocks + blocks[: dice.randrange(3)])


def spliced(dice: random.Random, one: bytes, other: bytes) -> bytes:
    """The beginning of one file and the end of another, of whatever form."""
    cut, on = dice.randrange(len(one) + 1), dice.randrange(len(other) + 1)
    return dice.choice([one[:cut] + other[on:], one + other, one[:cut] + other + one[cut:], other[:on] + one])


def in_zip(dice: random.Random, content: bytes) -> bytes:
    """A workbook whose packing is wrong: what its directory says, its parts' names, what stands around it."""
    ends, central, local = content.rfind(b"PK\x05\x06"), content.find(b"PK\x01\x02"), 0

    def put(at: int, kind: str, value: int) -> bytes:
        size = struct.calcsize(kind)
        return (
            content[:at] + struct.pack(kind, value) + content[at + size :]
            if 0 <= at <= len(content) - size
            else content
        )

    def again(names: Callable[[str], str], times: int = 1, kind: int = zipfile.ZIP_DEFLATED) -> bytes:
        out = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(content)) as packed, zipfile.ZipFile(out, "w", kind) as other, catch_warnings():
            simplefilter("ignore")  # two parts of one name are wanted here
            for _ in range(times):
                for name in packed.namelist():
                    other.writestr(zipfile.ZipInfo(names(name)), packed.read(name), kind)
        return out.getvalue()

    wild = dice.choice([0, 1, 0x7FFF, 0xFFFF])
    huge = dice.choice([0, 1, 0x7FFFFFFF, 0xFFFFFFFF, 0xFFFFFFFE])
    return dice.choice(
        [
            lambda: put(ends + dice.choice([4, 6, 8, 10]), "<H", wild),
            lambda: put(ends + dice.choice([12, 16]), "<I", huge),
            lambda: put(ends + 20, "<H", wild),
            lambda: put(central + dice.choice([8, 10, 28, 30, 32]), "<H", dice.choice([wild, 8, 12, 14, 93, 99])),
            lambda: put(central + dice.choice([16, 20, 24, 42]), "<I", huge),
            lambda: put(local + dice.choice([6, 8, 26, 28]), "<H", dice.choice([wild, 8, 12])),
            lambda: put(local + dice.choice([14, 18, 22]), "<I", huge),
            lambda: again(lambda name: "../" * 9 + name),
            lambda: again(lambda name: name.upper()),
            lambda: again(lambda name: name.replace("/", "\\")),
            lambda: again(
                lambda name: name.replace("sheet1", dice.choice(["sheet2", "", "\u202esheet1", "sheet1" * 999]))
            ),
            lambda: again(lambda name: name, times=2),
            lambda: again(lambda name: name, kind=dice.choice([zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])),
            lambda: dice.randbytes(dice.choice([1, 600])) + content,
            lambda: content + dice.choice([b"\x00" * 600, content, b"PK\x05\x06" + bytes(18), dice.randbytes(70_000)]),
            lambda: content.replace(
                b"worksheets/sheet1.xml", dice.choice([b"worksheets/sheetX.xml", b"../../etc/hosts123456"])
            ),
        ]
    )()


NAMES = [
    *[
        "ä",
        "ü\u0308",
        "\u202e",
        "\u200b",
        "😀",
        "%s%n",
        "'; --",
        '"',
        "<b>",
        "$(x)",
        "`x`",
        "*",
        "?",
        "[1]",
        "#",
        "&",
        "\\",
        "\n",
        "\t",
    ],
    *[
        "\x1b[2J",
        "\x07",
        " ",
        "  x",
        "..",
        "-",
        "=1+1",
        ":",
        "|",
        "\udcff",
        "\udc80x",
        "\ufeff",
        "x" * 150,
        "é" * 90,
        "CON",
        "{file}",
        "@",
    ],
]
"""What a file's name may hold; half a character stands for a byte that is no text."""


def named(dice: random.Random, kind: str, number: int, end: str) -> str:
    """A name by which the form is known, now and then an odd one, or in a folder of its own."""
    if dice.random() < 0.85:
        return f"{kind}_{number}.{end}"
    room = dice.choice(["", "", "", "sub/", "a b/ü/", "\udcff/"])
    return f"{room}{kind}_{number}{dice.choice(NAMES)}.{dice.choice([end, end, end, end.upper(), end + '.' + end])}"


ODD: list[Any] = [
    *[
        None,
        True,
        -1,
        0,
        1e308,
        -(10**30),
        10**400,
        0.1 + 0.2,
        float("inf"),
        float("nan"),
        "",
        " ",
        [],
        {},
        [[]],
        [None] * 300,
    ],
    *[
        {"value": 1},
        {"value": {"value": 3}},
        {"unitCode": "LTR", "value": "x"},
        "\ud800",
        "9" * 5000,
        253402300800,
        "NaN",
    ],
]
"""Values of JSON where others are expected."""


def in_json(dice: random.Random, text: str) -> str:
    """JSON that is still JSON, in which some values, names or items became others."""
    value = json.loads(text)
    for _ in range(dice.choice([1, 1, 3, 20])):
        _one_value(dice, value)
    return json.dumps(value, ensure_ascii=dice.random() < 0.5)


def _one_value(dice: random.Random, value: Any) -> None:
    """Somewhere in it one value became another, went, came twice or has another name."""
    here: Any = value
    while True:
        keys: list[Any] = list(here) if isinstance(here, dict) else list(range(len(here)))
        if not keys:
            return
        key = dice.choice(keys)
        if isinstance(here[key], dict | list) and here[key] and dice.random() < 0.8:
            here = here[key]
            continue
        break
    way = dice.randrange(6)
    if way == 0:
        del here[key]
    elif way == 1 and isinstance(here, dict):
        here[dice.choice([*STRANGE[:60], key.upper(), dice.choice(keys)])] = here.pop(key)
    elif way == 1:
        here.insert(0, deepcopy(here[key]))
    elif way == 2:
        here[key] = [here[key]] * dice.choice([1, 2, 5])
    elif way == 3:
        here[key] = {str(dice.choice(keys)): here[key]}
    else:
        here[key] = deepcopy(dice.choice([*ODD, dice.choice(STRANGE)]))


def encoded(dice: random.Random, text: str, own: str) -> bytes:
    """The text in its own or, now and then, another encoding, with or without a mark of this or another one."""
    others = "utf-8 cp1252 utf-16 utf-16-le utf-16-be utf-32 utf-7 cp037 shift_jis utf-8-sig".split()
    encoding = own if dice.random() < 0.8 else dice.choice(others)
    marks = [b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff", b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff", b"\x2b\x2f\x76\x38"]
    mark = dice.choice(marks) if dice.random() < 0.12 else b""
    return mark + text.encode(encoding, dice.choice(["replace", "backslashreplace", "ignore"]))


def in_parts(dice: random.Random, content: bytes) -> bytes:
    """A workbook in one part of which something became another, packed again."""
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    name = dice.choice([*parts, *(n for n in parts if "sheet" in n)] * 2)
    text = parts[name].decode()
    changes: list[Callable[[], str]] = [
        lambda: text.replace('r="3"', f'r="{dice.choice(["2000000000", "0", "-5", "1e9", "9" * 20, "1048577"])}"'),
        lambda: text.replace('r="B2"', f'r="{dice.choice(["XFD2", "ZZZ2", "AAAA2", "B2000000000", "", "2B"])}"'),
        lambda: text.replace("<v>", f"<v>{dice.choice(STRANGE[:20])}", dice.choice([1, 5, -1])),
        lambda: text.replace('t="inlineStr"', f't="{dice.choice(["s", "b", "d", "e", "str", "zz"])}"'),
        lambda: text.replace("<c ", f'<c s="{dice.choice(["99", "-1", "1", "x"])}" ', dice.choice([1, -1])),
        lambda: text.replace("<row", "<row><c/></row><row", dice.choice([1, 5, -1])),
        lambda: text.replace("<sheetData>", "<sheetData>" + "<row/>" * 3000),
        lambda: text.replace("<sheetData>", '<dimension ref="A1:XFD1048576"/><sheetData>'),
        lambda: text.replace("</row>", "<c/>" * 3000 + "</row>", 1),
        lambda: '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">]>' + text.replace("<v>", "<v>&b;"),
        lambda: in_text(dice, text, '<>"= '),
    ]
    parts[name] = dice.choice(changes)().encode("utf-8", "replace")
    if dice.random() < 0.1:
        del parts[dice.choice(list(parts))]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", dice.choice([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])) as packed:
        for one, data in parts.items():
            packed.writestr(one, data)
    return out.getvalue()


def in_book(dice: random.Random, content: bytes) -> bytes:
    """A workbook with something wrong in its parts, its packing or its bytes."""
    way = dice.choice([in_bytes, in_parts, in_parts, in_zip])
    try:
        return way(dice, content)
    except Exception:  # it is no workbook any more
        return in_bytes(dice, content)
