"""Who counts as one address at the page's door; what it does is tried on a real process in test_page_besieged."""

import pytest

from sentinel.edges.web.auth.door import group_of


@pytest.mark.parametrize(
    ("host", "group"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("2001:db8:1:2::9", "2001:db8:1:2::/64"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("::1", "::1"),
        ("fe80::1%eth0", "fe80::/64"),
        ("", ""),
        ("a name", "a name"),
    ],
)
def test_whoever_has_a_network_of_addresses_counts_as_one(host: str, group: str) -> None:
    """Of IPv6 a house or a server has 2 to the 64 of them, as the half that names the interface is its own."""
    assert group_of(host) == group
