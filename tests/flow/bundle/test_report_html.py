"""The report as a page: everything in it, escaped, and nothing that needs the network."""

from __future__ import annotations

from html.parser import HTMLParser

from sentinel.flow.bundle.report import Part, Report
from sentinel.flow.bundle.report_html import report_html

PART = Part(
    "Tank <results>", "How & why", ("Tank", "Mean"), (("1", "<b>282</b>"), ("2", "410")), frozenset({1}), frozenset({1})
)
REPORT = Report(
    "Record", "Tin & Field", ("From 1 to 2.",), (PART, Part("Chores", "None", ("a",), ())), ("s", "f" * 64, "e"), "en"
)


class Tags(HTMLParser):
    """What tags a page has, and whether each is closed."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag that is to be closed, unless it never is."""
        self.seen.append(tag)
        self.links += [str(value) for name, value in attrs if name in ("src", "href")]
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """The tag that was opened last."""
        assert self.open.pop() == tag


def test_the_page_is_well_formed_and_needs_nothing_else() -> None:
    """Every tag is closed; no script, picture, link or font from elsewhere."""
    tags = Tags()
    tags.feed(report_html(REPORT))

    assert tags.open == [] and tags.links == []
    assert not {"script", "img", "link", "iframe"} & set(tags.seen)
    assert "url(" not in report_html(REPORT) and "@import" not in report_html(REPORT)


def test_whatever_stands_in_a_cell_is_text() -> None:
    """Marks are escaped; a row past its limit is in bold; an empty part has a dash."""
    page = report_html(REPORT)

    assert "&lt;b&gt;282&lt;/b&gt;" in page and "Tin &amp; Field" in page
    assert "<strong>410</strong>" in page and "<strong>1</strong>" not in page
    assert "<p>–</p>" in page and "f" * 64 in page
