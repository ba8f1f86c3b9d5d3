"""The texts of notices: titles that fit, what since when, what to look at first, how it went since."""

from __future__ import annotations

from dataclasses import replace

from flow.notices.small_days import MIN, ZONE, Words, alert, at, desk, live, person
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.language import english
from sentinel.flow.notices import course_words, plan
from sentinel.flow.notices.wording import TITLE_LENGTH


def test_a_notice_says_what_since_when_and_what_to_look_at_first() -> None:
    """A title for the lock screen, the sentence, the farm's clock, all that is to be minded, three other hints."""
    mind = ("Put the box out of operation first", "If a teat looks wrong, ask the vet")
    hints = ("Is the lens clean?", "Compare with box 1", "Look at the log", "Call the service")
    farm = desk(person("Marit"))
    text = "Box 2: 5 failed attachments of 18, 1.2 expected"

    (notice,) = live(
        farm,
        [(at("10:00"), alert(1, at("10:00"), text, since=at("09:40"), caution=mind, look_first=hints))],
        at("10:10"),
    )

    assert notice.title == "Box 2: 5 failed attachments of 18"
    assert notice.body.splitlines() == [
        "Box 2: 5 failed attachments of 18, 1.2 expected.",
        "Since 09:40.",
        "Look first:",
        "- Put the box out of operation first",
        "- If a teat looks wrong, ask the vet",
        "- Is the lens clean?",
        "- Compare with box 1",
        "- Look at the log",
    ]


def test_a_notice_that_is_read_later_says_what_it_was_raised_at_the_worst_and_now() -> None:
    """Told, reminded and handed on: the figures beside the sentence, and that it has come back within its bound."""
    farm = desk(person("Marit"), person("Onno", next_after_s=None), rules={"box-failures": Words(10 * MIN, 1)})
    raised = alert(1, at("10:00"), "Cow 7: 1 % under its usual, 3.9 points", subject="quarter:7/LF")
    course = "strong sign when raised, slight now"
    later = replace(raised, course=course, eased="6 points")

    sent = live(farm, [(at("10:00"), raised), (at("10:05"), later)], at("10:25"))

    assert [one.kind for one in sent] == ["alert", "reminder", "handed-on"]
    assert "aised at" not in sent[0].body
    for one in sent[1:]:
        assert one.body.splitlines()[1:4] == [
            "Since 10:00.",
            "Strong sign when raised, slight now.",
            "Was urgent, has eased.",
        ]


def test_a_list_says_the_course_of_what_stands_and_the_caution_of_boxes_only_where_one_is() -> None:
    """One line each; once something is over it has no course any more, and a list of cows has no box's caution."""
    farm = desk(person("Marit", worklist=True, next_after_s=None))
    cow = alert(1, at("05:00"), "Cow 7 not milked for 16 h", subject="cow:7", urgency="round")
    cow = replace(cow, course="raised at 14 h, now 16 h")

    (sent,) = [n for n in live(farm, [(at("05:00"), cow)], at("12:00")) if n.kind == "worklist"]

    assert sent.body.splitlines()[:2] == ["Cows:", "- Cow 7 not milked for 16 h, since 05:00; raised at 14 h, now 16 h"]
    assert "out of operation" not in sent.body
    assert course_words(replace(cow, over_at=at("06:00")), english(ZONE)) == []


@given(st.text(min_size=1, max_size=200), st.sampled_from(["alert", "reminder", "over"]))
def test_every_title_fits_a_lock_screen(text, kind) -> None:
    """Whatever a rule says, a title has at most 40 characters."""
    farm = desk(person("Marit"), rules={"box-failures": Words(10 * MIN, 1)})
    raised = alert(1, at("10:00"), text)
    events = [(at("10:00"), raised), (at("10:11"), replace(raised, over_at=at("10:11")))]

    sent = {notice.kind: notice for notice in live(farm, events, at("10:15"))}

    assert len(sent[kind].title) <= TITLE_LENGTH


def test_the_worklist_says_with_whom_an_alert_lies() -> None:
    """Put off until a time, or handed over."""
    farm = desk(person("Marit", worklist=True, at_most=1))
    put_off = alert(1, at("05:00"), lies_with="Marit", lies_from=at("08:00"))
    handed = alert(2, at("05:00"), lies_with="Onno", lies_from=at("05:10"))

    notice = plan(at("06:15"), farm, [put_off, handed], [], at("06:00"), {})[-1]

    assert "Alert 1, since 05:00 (Marit put it off until 08:00)" in notice.body
    assert "Alert 2, since 05:00 (with Onno)" in notice.body
