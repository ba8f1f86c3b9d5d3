"""`people links`: every link that was made."""

from __future__ import annotations

from sentinel.cli.base import HERE, AsJson, FarmOption, now, open_farm, out, print_json
from sentinel.edges.store.access import PageAccess, PageLink
from sentinel.flow.language import shown_time
from sentinel.flow.views.parts.records import rfc3339


def links(farm: FarmOption = HERE, as_json: AsJson = False) -> None:
    """Every link made: whose it is, until when it works, when it was last opened."""
    with open_farm(farm) as yard:
        own_links, at, zone = PageAccess(yard.store).links(), now(), yard.setup.farm.zone
        if as_json:
            print_json(_record(one, at) for one in own_links)
            return
        if not own_links:
            out.print("Nobody has a link of their own yet; `sentinel people link NAME` makes one.")
            return
        rows = []
        for one in own_links:
            ends = shown_time(one.until, at, zone) if one.withdrawn_at is None else "withdrawn"
            used = shown_time(one.used_at, at, zone) if one.used_at is not None else "never"
            may = "look" if one.read_only else "answer"
            rows.append((str(one.id), one.person, may, shown_time(one.made_at, at, zone), ends, used))
        out.table(("id", "person", "may", "made", "opens until", "last opened"), rows)


def _record(link: PageLink, at: int) -> dict[str, object]:
    """A link for programs; never the link itself."""
    return {
        "id": link.id,
        "person": link.person,
        "read_only": link.read_only,
        "made_at": rfc3339(link.made_at),
        "until": rfc3339(link.until),
        "withdrawn_at": None if link.withdrawn_at is None else rfc3339(link.withdrawn_at),
        "used_at": None if link.used_at is None else rfc3339(link.used_at),
        "opens": link.opens(at),
    }
