"""The report as a page that a browser prints on A4: one file, without a script, that needs nothing else."""

from __future__ import annotations

from html import escape

from sentinel.flow.bundle.report import Part, Report

STYLE = """
@page { size: A4; margin: 16mm 14mm 18mm; @bottom-center { content: counter(page) " / " counter(pages); font: 8pt sans-serif } }
html { font: 9.5pt/1.35 "Helvetica Neue", Arial, "Liberation Sans", sans-serif; color: #111 }
body { margin: 0 auto; max-width: 182mm }
h1 { font-size: 17pt; margin: 0 }
h2 { font-size: 12pt; margin: 7mm 0 1mm; break-after: avoid }
p { margin: 0 0 1.5mm }
.farm { font-size: 13pt; margin-bottom: 2mm }
.about { color: #444; font-size: 8.5pt; break-after: avoid }
table { width: 100%; border-collapse: collapse; margin-top: 1mm }
thead { display: table-header-group }
th, td { text-align: left; vertical-align: top; padding: .9mm 3mm .9mm 0; border-bottom: .2mm solid #bbb }
td { overflow-wrap: anywhere }
th { font-size: 8pt; border-bottom: .4mm solid #111; vertical-align: bottom }
.n { text-align: right }
td.n, .t { white-space: nowrap }
tr { break-inside: avoid }
.seal { margin-top: 8mm; padding: 3mm; border: .4mm solid #111; break-inside: avoid }
code { font: 8pt "Liberation Mono", monospace; overflow-wrap: anywhere }
""".strip()  # noqa: E501


SHORT = 19
"""A cell of so few characters, such as a moment, stays on one line."""


def report_html(report: Report) -> str:
    """The report as HTML."""
    lines = "".join(f"<p>{escape(line)}</p>\n" for line in report.lines)
    first, head, last = report.seal
    return (
        f'<!doctype html>\n<html lang="{escape(report.language)}">\n<head>\n<meta charset="utf-8">\n'
        f"<title>{escape(report.farm)}: {escape(report.title)}</title>\n<style>\n{STYLE}\n</style>\n</head>\n<body>\n"
        f'<h1>{escape(report.title)}</h1>\n<p class="farm">{escape(report.farm)}</p>\n{lines}'
        f"{''.join(map(_part, report.parts))}"
        f'<div class="seal"><p>{escape(first)}</p>\n<p><code>{escape(head)}</code></p>\n<p>{escape(last)}</p></div>\n'
        "</body>\n</html>\n"
    )


def _part(part: Part) -> str:
    """One part: a heading, how it is to be read, and its table, or a dash where there is nothing."""
    head = f'<h2>{escape(part.heading)}</h2>\n<p class="about">{escape(part.about)}</p>\n'
    if not part.rows:
        return f"{head}<p>–</p>\n"
    titles = "".join(f"<th{_kind(n in part.right)}>{escape(title)}</th>" for n, title in enumerate(part.columns))
    rows = "".join(_row(part, place) for place in range(len(part.rows)))
    return f"{head}<table>\n<thead><tr>{titles}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n"


def _row(part: Part, place: int) -> str:
    cells = []
    for number, cell in enumerate(part.rows[place]):
        text = escape(cell)
        bold = f"<strong>{text}</strong>" if place in part.strong and text else text
        cells.append(f"<td{_kind(number in part.right, len(cell) <= SHORT)}>{bold}</td>")
    return f"<tr>{''.join(cells)}</tr>\n"


def _kind(figure: bool, short: bool = False) -> str:
    return ' class="n"' if figure else ' class="t"' if short else ""
