"""`check`: every fault of the settings with its place and what would be right, and no secret."""

from __future__ import annotations

from pathlib import Path

from cli.typed import FEED, sentinel


def test_check_names_every_place_at_once(farm: Path) -> None:
    """Faults in four files: each is told with file, line and column and what would be right."""
    (farm / "farm.yaml").write_text('name: X\nzone: Europe/Dubln\nboxes: ["1"]\n')
    (farm / "people.yaml").write_text("- person: Anna\n  channels: [operator-fone]\n  hours: sometimes\n")
    (farm / "feeds" / "milkings.yaml").write_text(FEED.replace("outcome:", "outcom:"))
    rule = "- rule: {}\n  measure: hours_since_milkin{}\n  raise_over: 14\n  say: late\n"
    (farm / "rules" / "mine.yaml").write_text(rule.format("mine", "") + rule.format("yours", "g"))

    said = sentinel("check", farm)

    assert said.code == 1
    for part in (
        "farm.yaml:2:1: ",
        '"Europe/Dublin"',
        "people.yaml:3:3: ",
        "feeds/milkings.yaml:11:5: ",
        'did you mean "outcome"?',
        "rules/mine.yaml:2:3: ",
        'did you mean "hours_since_milking"?',
        "rules/mine.yaml:7:3: ",
    ):
        assert part in said.words, part
    assert "Traceback" not in said.err


def test_secrets_that_others_can_read_are_refused(farm: Path) -> None:
    """A secrets file with open rights is a problem that says how to mend it."""
    (farm / "secrets.yaml").chmod(0o644)

    said = sentinel("check", farm)

    assert said.code == 1
    assert "chmod 600 secrets.yaml" in said.words


def test_an_address_that_cannot_be_used_is_told_without_showing_it(farm: Path) -> None:
    """`check` names the channel and says what is expected; the address itself is a secret."""
    (farm / "secrets.yaml").write_text("channels:\n  operator-phone: nonsense-s3cret\n")

    said = sentinel("check", farm)

    assert said.code == 1
    assert "secrets.yaml: operator-phone: its address cannot be understood" in said.words
    assert "s3cret" not in said.words


def test_check_says_when_links_open_on_this_machine_only(farm: Path) -> None:
    """Without an address of the page, or with one that every machine takes for itself; a note, not a fault."""
    plan = (farm / "farm.yaml").read_text()
    notes = {}
    for page in (
        "",
        "page: {host: 0.0.0.0}",
        'page: {address: "http://127.0.0.1:8710"}',
        'page: {address: "https://a.example"}',
    ):
        (farm / "farm.yaml").write_text(f"{plan}{page}\n")
        said = sentinel("check", farm)
        assert said.code == 0
        notes[page] = "links in notices open only on this machine" in said.words

    assert list(notes.values()) == [True, True, True, False]
