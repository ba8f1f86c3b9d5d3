"""Finding a cow, a box or a tank."""

from __future__ import annotations

from view_farm import COWS, TANK, rows

from sentinel.flow.views.find import find_page


def test_numbers_are_found() -> None:
    """The cow of just this number first, then box and tank, then cows that begin with it."""
    visits = (
        "cow  start    box  outcome\n217  1d08:00  1    milked\n21   1d09:00  2    milked\n9    1d09:00  2    milked"
    )
    tables = rows(visits=visits, cows=COWS, tank=TANK)
    assert [link.subject for link in find_page("2", tables).links] == ["box:2", "tank:2", "cow:21", "cow:217"]
    assert find_page("2", tables).exact is None
    found = find_page("21", tables)
    assert found.exact is not None
    assert (found.exact.subject, [link.subject for link in found.links]) == ("cow:21", ["cow:21", "cow:217"])
    assert [link.subject for link in find_page(" Box 2 ", tables).links] == ["box:2"]
    assert [link.subject for link in find_page("Kuh 217", tables, words=[("Kuh", "cow")]).links] == ["cow:217"]
    assert (find_page("", tables).links, find_page("zz", tables).links, find_page("<b>", tables).links) == ((), (), ())
    assert (len(find_page("2", tables, most=1).links), find_page("2", tables, most=1).more) == (1, 3)
