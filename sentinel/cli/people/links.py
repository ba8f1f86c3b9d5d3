"""`people links`: every link that was made."""

from __future__ import annotations

from sentinel.cli.base import HERE, AsJson, FarmOption, now, open_farm, out, print_json
from sentinel.edges.store.access import PageAccess, PageLink
from sentinel.flow.language import shown_time
from sentinel.flow.views.parts.records import rfc3339


def links(farm: FarmOption = HERE, as_json: AsJson = False) -> None:
    """Every link that was made: whose, until when it opens, when it was last opened."""
    with open_farm(farm) as yard:
        found, at, zone = PageAccess(yard.store).links(), now(), yard.setup.farm.zone
        if as_json:
            print_json(_record(one, at) for one in found)
            return
        if not found:
            out.print("Nobody has a link of their own yet; `sentinel people link NAME` makes one.")
            return
        rows = []
        for one in found:
            ends = shown_time(one.until, at, zone) if one.withdrawn_at is None else "withdrawn"
            used = shown_time(one.used_at, at, zone) if one.used_at is not None else "never"
            may = "look" if one.read_only else "answer"
            rows.append((str(one.id), one.person, may, shown_time(one.made_at, at, zone), ends, used))
        out.table(("id", "person", "may", "made", "opens until", "last opened"), rows)


def _record(one: PageLink, at: int) -> dict[str, object]:
    """A link for programs; never the link itself."""
    return {
        "id": one.id,
        "person": one.person,
        "read_only": one.read_only,
        "made_at": rfc3339(one.made_at),
        "until": rfc3339(one.until),
        "withdrawn_at": None if one.withdrawn_at is None else rfc3339(one.withdrawn_at),
        "used_at": None if one.used_at is None else rfc3339(one.used_at),
        "opens": one.opens(at),
    }
