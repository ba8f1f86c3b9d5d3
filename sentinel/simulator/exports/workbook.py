"""A workbook of one sheet, written so that the same rows give the same bytes on every machine.

The usual library is not used here, only to read it back in the tests: it stamps each file with the time of its
making, and its bytes change with its version, with the packing library underneath and with which XML library
happens to be installed. Office Open XML (ECMA-376) needs only the six small parts below.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from io import BytesIO
from xml.sax.saxutils import escape
from zipfile import ZIP_STORED, ZipFile, ZipInfo

Cell = str | int | float | datetime | date | None

DAY_ZERO = datetime(1899, 12, 30)  # noqa: DTZ001 - spreadsheet times carry no zone

_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACK = "http://schemas.openxmlformats.org/package/2006"
_KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"

_TYPES = (
    f'{_HEAD}<Types xmlns="{_PACK}/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Override PartName="/xl/workbook.xml" ContentType="{_KIND}.sheet.main+xml"/>'
    f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{_KIND}.worksheet+xml"/>'
    f'<Override PartName="/xl/styles.xml" ContentType="{_KIND}.styles+xml"/></Types>'
)
_ROOT_LINKS = (
    f'{_HEAD}<Relationships xmlns="{_PACK}/relationships">'
    f'<Relationship Id="rId1" Type="{_LINKS}/officeDocument" Target="xl/workbook.xml"/></Relationships>'
)
_BOOK_LINKS = (
    f'{_HEAD}<Relationships xmlns="{_PACK}/relationships">'
    f'<Relationship Id="rId1" Type="{_LINKS}/worksheet" Target="worksheets/sheet1.xml"/>'
    f'<Relationship Id="rId2" Type="{_LINKS}/styles" Target="styles.xml"/></Relationships>'
)
_STYLES = (
    f'{_HEAD}<styleSheet xmlns="{_MAIN}">'
    '<numFmts count="2"><numFmt numFmtId="164" formatCode="yyyy\\-mm\\-dd\\ hh:mm:ss"/>'
    '<numFmt numFmtId="165" formatCode="yyyy\\-mm\\-dd"/></numFmts>'
    '<fonts count="1"><font><sz val="11"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs>'
    '<cellXfs count="3"><xf/><xf numFmtId="164" applyNumberFormat="1"/>'
    '<xf numFmtId="165" applyNumberFormat="1"/></cellXfs>'
    '<cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)


def serial(moment: datetime) -> float:
    """A wall time as the spreadsheet counts it, in days.

    >>> serial(datetime(2026, 5, 4, 6, 0))
    46146.25
    """
    return (moment - DAY_ZERO) / timedelta(days=1)


def cell_xml(place: str, value: Cell) -> str:
    """One cell; empty text for a missing value."""
    if value is None:
        return ""
    if isinstance(value, str):
        return f'<c r="{place}" t="inlineStr"><is><t>{escape(value)}</t></is></c>'
    if isinstance(value, datetime):
        return f'<c r="{place}" s="1"><v>{serial(value)!r}</v></c>'
    if isinstance(value, date):
        return f'<c r="{place}" s="2"><v>{int(serial(datetime(value.year, value.month, value.day)))}</v></c>'  # noqa: DTZ001
    return f'<c r="{place}"><v>{value!r}</v></c>'


def xlsx_file(title: str, rows: Iterable[Sequence[Cell]]) -> bytes:
    """The bytes of a workbook with one sheet of up to 26 columns."""
    lines = []
    for number, row in enumerate(rows, start=1):
        cells = "".join(cell_xml(f"{chr(65 + column)}{number}", value) for column, value in enumerate(row))
        lines.append(f'<row r="{number}">{cells}</row>')
    sheet = f'{_HEAD}<worksheet xmlns="{_MAIN}"><sheetData>{"".join(lines)}</sheetData></worksheet>'
    book = (
        f'{_HEAD}<workbook xmlns="{_MAIN}" xmlns:r="{_LINKS}">'
        f'<sheets><sheet name="{escape(title)}" sheetId="1" r:id="rId1"/></sheets></workbook>'
    )
    parts = {
        "[Content_Types].xml": _TYPES,
        "_rels/.rels": _ROOT_LINKS,
        "xl/workbook.xml": book,
        "xl/_rels/workbook.xml.rels": _BOOK_LINKS,
        "xl/styles.xml": _STYLES,
        "xl/worksheets/sheet1.xml": sheet,
    }
    packed = BytesIO()
    with ZipFile(packed, "w", ZIP_STORED) as archive:
        for name, text in parts.items():
            info = ZipInfo(name, (2026, 1, 1, 0, 0, 0))
            info.create_system = 3
            archive.writestr(info, text.encode())
    return packed.getvalue()
