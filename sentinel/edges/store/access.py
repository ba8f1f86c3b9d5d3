"""Who may open the page, and what phones have sent: the rooms of the store that belong to the page alone.

Nothing here is measured or decided by; the engine does not read it, so replaying the past needs none of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sentinel.edges.store.database import Store, fetch


@dataclass(frozen=True, slots=True)
class PageLink:
    """A person's own link to the page: it opens until `until` (UTC seconds), unless it was withdrawn."""

    id: int
    person: str
    read_only: bool
    made_at: int
    until: int
    withdrawn_at: int | None = None
    used_at: int | None = None

    def opens(self, at: int) -> bool:
        """Whether it can be used at `at`."""
        return self.withdrawn_at is None and at < self.until


class PageAccess:
    """The page's rooms in a farm's store."""

    def __init__(self, store: Store) -> None:
        self.store = store

    def make(self, person: str, read_only: bool, at: int, until: int) -> PageLink:
        """Make a person's own link."""
        with self.store.writing() as conn:
            made = conn.execute(
                "insert into page_links (person, read_only, made_at, until) values (?, ?, ?, ?)",
                (person, int(read_only), at, until),
            )
        return PageLink(int(made.lastrowid or 0), person, read_only, at, until)

    def links(self) -> list[PageLink]:
        """Every link that was ever made, oldest first."""
        return [_link(row) for row in fetch(self.store, "select * from page_links order by id")]

    def link(self, number: int) -> PageLink | None:
        """The link with this number."""
        rows = fetch(self.store, "select * from page_links where id = ?", (number,))
        return _link(rows[0]) if rows else None

    def used(self, number: int, at: int) -> None:
        """Remember when a link was last opened."""
        with self.store.writing() as conn:
            conn.execute("update page_links set used_at = ? where id = ?", (at, number))

    def withdraw(self, number: int, at: int) -> None:
        """From now on the link opens nothing, and what it opened is shut."""
        with self.store.writing() as conn:
            conn.execute("update page_links set withdrawn_at = ? where id = ? and withdrawn_at is null", (at, number))

    def shut_out(self, person: str, at: int) -> None:
        """Shut everything that a person opened or was sent up to now: own links, links in notices, sessions."""
        with self.store.writing() as conn:
            conn.execute(
                "update page_links set withdrawn_at = ? where person = ? and withdrawn_at is null", (at, person)
            )
            conn.execute("insert or replace into shut_out (person, at) values (?, ?)", (person, at))

    def shut_notices(self, people: Iterable[str], at: int) -> None:
        """Shut what links in notices up to now opened, for these people and all that the store knows; not own links."""
        with self.store.writing() as conn:
            known = {row["person"] for row in conn.execute("select distinct person from notices where person <> ''")}
            rows = [(person, at) for person in sorted({*people, *known})]
            conn.executemany("insert or replace into shut_out (person, at) values (?, ?)", rows)

    def shut_until(self, person: str) -> int | None:
        """Up to when all that a person opened or was sent is shut; None if nothing ever was."""
        rows = fetch(self.store, "select at from shut_out where person = ?", (person,))
        return int(rows[0]["at"]) if rows else None

    def said_of(self, number: str) -> str | None:
        """What was said to what a phone sent under its own number; None if it has not arrived before."""
        rows = fetch(self.store, "select said from sent where id = ?", (number,))
        return str(rows[0]["said"]) if rows else None

    def said_at(self, number: str) -> int | None:
        """When what a phone sent under its own number was made; None if it has not arrived."""
        rows = fetch(self.store, "select at from sent where id = ?", (number,))
        return int(rows[0]["at"]) if rows else None

    def put_sent(self, number: str, person: str, at: int, received_at: int, what: str, reply: str) -> None:
        """Keep what a phone sent and what was said to it; within `writing()`, together with what it did."""
        with self.store.writing() as conn:
            conn.execute("insert into sent values (?, ?, ?, ?, ?, ?)", (number, person, at, received_at, what, reply))


def _link(row: object) -> PageLink:
    """A link from its row."""
    values = dict(row)  # type: ignore[call-overload]
    values["read_only"] = bool(values["read_only"])
    return PageLink(**values)
