"""A workbook of one sheet, written so that the same rows give the same bytes.

openpyxl stamps a workbook with the moment of its making, in its properties and on each packed part. Both are set to
one fixed moment here. The bytes still change with the versions of openpyxl and of the packing library.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import Workbook
from openpyxl.packaging.core import DocumentProperties
from openpyxl.xml.constants import ARC_CORE
from openpyxl.xml.functions import tostring

Cell = str | int | float | datetime | date | None

MADE_AT = datetime(2026, 1, 1)  # noqa: DTZ001 - spreadsheet times carry no zone
"""When every workbook says that it was made."""


def xlsx_file(title: str, rows: Iterable[Sequence[Cell]]) -> bytes:
    """The bytes of a workbook with one sheet of that title."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    for row in rows:
        sheet.append(list(row))
    packed = BytesIO()
    book.save(packed)
    return _at_fixed_times(packed)


def _at_fixed_times(packed: BytesIO) -> bytes:
    """The same workbook with the fixed moment in place of the one at which it was saved."""
    again = BytesIO()
    with ZipFile(packed) as saved, ZipFile(again, "w", ZIP_DEFLATED) as archive:
        for name in saved.namelist():
            part = ZipInfo(name, MADE_AT.timetuple()[:6])
            part.create_system, part.compress_type = 3, ZIP_DEFLATED
            archive.writestr(part, _PROPERTIES if name == ARC_CORE else saved.read(name))
    return again.getvalue()


_PROPERTIES = tostring(DocumentProperties(creator="sentinel", created=MADE_AT, modified=MADE_AT).to_tree())
