"""The page's rooms in the store: own links and their ends, who is shut out, what phones sent."""

from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess, PageLink

DAY = 86400


def test_a_link_opens_until_its_end_or_until_it_is_withdrawn() -> None:
    """Whichever comes first; withdrawing it again changes nothing."""
    guests = PageAccess(Store(None))
    first, second = guests.make("Marit", False, 0, DAY), guests.make("A guest", True, 10, DAY)
    guests.withdraw(second.id, 50)
    guests.withdraw(second.id, 60)

    assert guests.links() == [first, PageLink(2, "A guest", True, 10, DAY, withdrawn_at=50)]
    assert [first.opens(at) for at in (0, DAY - 1, DAY)] == [True, True, False]
    assert not guests.links()[1].opens(55)
    assert guests.link(3) is None


def test_it_is_remembered_when_a_link_was_last_opened() -> None:
    """For whoever looks through the links."""
    guests = PageAccess(Store(None))
    guests.used(guests.make("Marit", False, 0, DAY).id, 77)

    found = guests.link(1)
    assert found is not None
    assert found.used_at == 77


def test_shutting_a_person_out_ends_all_they_have_and_nobody_elses() -> None:
    """Links made afterwards open again."""
    guests = PageAccess(Store(None))
    for person in ("Marit", "Onno"):
        guests.make(person, False, 0, DAY)
    guests.shut_out("Marit", 40)
    guests.make("Marit", False, 50, DAY)

    assert [one.opens(60) for one in guests.links()] == [False, True, True]
    assert (guests.shut_until("Marit"), guests.shut_until("Onno")) == (40, None)


def test_what_a_phone_sent_is_known_by_its_number() -> None:
    """With what was said to it."""
    guests = PageAccess(Store(None))
    guests.put_sent("Marit/1", "Marit", 5, 90, "alert 17", "Thank you.")

    assert (guests.said_of("Marit/1"), guests.said_of("Marit/2")) == ("Thank you.", None)
