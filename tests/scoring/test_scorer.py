"""The scorer on examples small enough to count by hand."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
import pytest
from text_tables import moment, table

from sentinel.flow.tables import Tables

from .baselines import over
from .episodes import Episode, episodes
from .frontier import Point, at_equal_false, frontier
from .score import (
    FAR,
    Share,
    UdderScore,
    detections,
    excused_by,
    false_alerts,
    first_suspect,
    flagged,
    late_by_an_outage,
    pushes_a_day,
    quarter_milkings,
    rings_a_day,
    score_boxes,
    score_udders,
)

H = 3600


@dataclass(frozen=True)
class Told:
    """An alert as a replay tells it."""

    subject: str
    raised_at: int
    over_at: int | None = None
    urgency: str = "round"
    rule: str = "some-rule"
    suspects: tuple[dict[str, object], ...] = ()
    incident: object = None


def clinical(subject: str, start: str, until: str) -> Episode:
    """An udder episode with its 48 h."""
    return episode("udder-clinical", subject, start, until, 48)


def episode(kind: str, subject: str, start: str, until: str, hours: int, suspect: str = "") -> Episode:
    """An episode whose window ends after so many hours, or with it."""
    by = min(moment(start) + hours * H, moment(until))
    return Episode(kind, subject, moment(start), moment(until), moment(start), by, suspect, "usual")


SICK = clinical("quarter:217/LF", "1d06:00", "5d06:00")


def hours_found(*alerts: Told) -> float | None:
    """When the sick quarter was found."""
    return detections([SICK], alerts)[0].hours


@pytest.mark.parametrize(
    ("raised", "hours"),
    [("1d06:00", 0), ("1d12:00", 6), ("3d06:00", 48), ("3d06:00:01", None), ("1d05:59:59", None)],
)
def test_found_from_onset_to_the_end_of_the_window(raised: str, hours: float | None) -> None:
    """An alert finds an episode from its first second up to 48 h later, and not a second earlier or later."""
    assert hours_found(Told("quarter:217/LF", moment(raised))) == hours


def test_an_alert_that_stood_before_does_not_find_it() -> None:
    """One raised before the onset finds nothing though it still stands; the next one does."""
    before = Told("quarter:217/LF", moment("1d00:00"), moment("2d12:00"))

    assert hours_found(before) is None
    assert hours_found(before, Told("quarter:217/LF", moment("2d18:00"))) == 36


def test_another_quarter_does_not_find_it() -> None:
    """The subject must be the same quarter of the same cow."""
    assert hours_found(Told("quarter:217/RF", moment("1d12:00")), Told("cow:217", moment("1d12:00"))) is None


def test_the_first_alert_counts() -> None:
    """Of several alerts in the window the first gives the hours, in whatever order they are told."""
    late, early = Told("quarter:217/LF", moment("2d06:00")), Told("quarter:217/LF", moment("1d08:00"))

    assert hours_found(late, early) == 2


def test_false_alerts_are_those_outside_every_episode() -> None:
    """Before the onset and after the end are false; within any episode, found in time or not, they are not."""
    told = {at: Told("quarter:217/LF", moment(at)) for at in ("1d05:59", "1d06:00", "4d00:00", "5d06:00", "5d06:01")}
    spike = episode("udder-spike", "quarter:217/LF", "6d00:00", "6d12:00", 48)
    in_spike = Told("quarter:217/LF", moment("6d01:00"))

    assert false_alerts([*told.values(), in_spike], [SICK, spike]) == [told["1d05:59"], told["5d06:01"]]
    assert false_alerts([in_spike], [SICK]) == [in_spike]


def test_a_fault_that_grows_is_found_early_with_negative_hours() -> None:
    """Hours count from half grown; an alert between the beginning and that moment has found it."""
    items = [
        {
            "kind": "optics-fouled",
            "subject": "box:2",
            "from": "2024-06-03T00:00:00Z",
            "until": "2024-06-04T20:00:00Z",
            "figures": {"counts_from": "2024-06-03T08:00:00Z", "suspect": "optics"},
        }
    ]
    (fouled,) = episodes(items, ["optics-fouled"])

    assert (fouled.onset, fouled.find_by) == (moment("08:00"), moment("20:00"))
    assert detections([fouled], [Told("box:2", moment("02:00"))])[0].hours == -6
    assert detections([fouled], [Told("box:2", moment("20:01"))])[0].hours is None


def test_a_mended_fault_is_not_found_afterwards() -> None:
    """The window ends with the fault."""
    short = episode("arm-out-of-line", "box:2", "06:00", "09:00", 12, "arm")

    assert detections([short], [Told("box:2", moment("09:01"))])[0].alert is None
    assert false_alerts([Told("box:2", moment("09:01"))], [short]) != []


VISITS = """
cow  start    box  outcome     lf_conductivity_mS_cm  rf_conductivity_mS_cm
217  00:00    1    milked      4.8                    4.8
217  08:00    1    milked      5.9                    4.8
217  16:00    1    incomplete  4.9                    -
217  1d00:00  1    milked      4.8                    4.9
217  1d04:00  1    refused     -                      -
311  02:00    1    milked      5.0                    -
"""


def tables() -> Tables:
    """Eight readings of three quarters."""
    return Tables(visits=table("visits", VISITS))


def flagged_at(*alerts: Told) -> list[tuple[str, str]]:
    """Which readings are called abnormal."""
    from text_tables import moment_text

    milkings = quarter_milkings(tables(), [])
    bad = flagged(milkings, alerts)
    return [(str(s), moment_text(int(t))) for s, t in zip(milkings.subject[bad], milkings.at[bad], strict=True)]


def test_a_milking_is_flagged_by_the_verdict_it_led_to() -> None:
    """An alert decided 40 min after a reading and over 40 min after the next one flags the first reading only."""
    alert = Told("quarter:217/LF", moment("08:40"), moment("16:40"))

    assert flagged_at(alert) == [("quarter:217/LF", "08:00")]


def test_a_standing_alert_flags_every_milking() -> None:
    """One that never ends flags the reading it was raised with and all later ones of that quarter."""
    assert flagged_at(Told("quarter:217/LF", moment("08:40"))) == [
        ("quarter:217/LF", "08:00"),
        ("quarter:217/LF", "16:00"),
        ("quarter:217/LF", "1d00:00"),
    ]


def test_udder_score_by_hand() -> None:
    """Eight healthy readings, one flagged: specificity 7/8; one false alert in five cow milkings."""
    score = score_udders(tables(), [], [Told("quarter:217/LF", moment("08:40"), moment("16:40"))])

    assert (score.specific.hits, score.specific.of) == (7, 8)
    assert (score.false, score.milkings, score.false_per_1000) == (1, 5, 200.0)
    assert score.found["udder-clinical"] == Share(0, 0)


def test_readings_within_an_episode_are_not_healthy() -> None:
    """They count for the sensitivity, never for the specificity."""
    ill = episode("udder-subclinical", "quarter:217/LF", "08:00", "20:00", 48)
    milkings = quarter_milkings(tables(), [ill])

    assert int(milkings.healthy.sum()) == 6
    assert milkings.after[-1] == FAR


def test_both_herds_together() -> None:
    """Counts add up before a share is made of them."""
    one = score_udders(tables(), [SICK], [Told("quarter:217/LF", moment("1d12:00"))])
    other = score_udders(tables(), [SICK], [])
    both = one + other

    assert both.found["udder-clinical"] == Share(1, 2)
    assert both.hours == (6.0,)
    assert both.milkings == 10


ARM = episode("arm-out-of-line", "box:2", "06:00", "1d06:00", 12, "arm")
FLIES = episode("herd-disturbed", "herd", "3d08:00", "3d16:00", 0, "herd")


def box_alert(at: str, suspect: str | None = None, subject: str = "box:2") -> Told:
    """An alert about a box, with its first suspect."""
    names = () if suspect is None else ({"name": suspect, "weight": 0.8}, {"name": "cow", "weight": 0.2})
    return Told(subject, moment(at), suspects=names)


def test_first_suspect_of_the_first_alert_decides() -> None:
    """Right is the suspect of the alert that found it; none named, or a later right one, is not right."""
    right = score_boxes([ARM], [], [box_alert("07:00", "arm")], 3, 365.0)
    none = score_boxes([ARM], [], [box_alert("07:00"), box_alert("08:00", "arm")], 3, 365.0)

    assert (right.right, none.right) == (Share(1, 1), Share(0, 1))
    assert right.found["arm-out-of-line"] == Share(1, 1)
    assert right.hours == (1.0,)
    assert first_suspect(Told("box:2", 0)) is None


def test_an_alert_on_a_disturbed_day_is_excused_only_if_it_says_so() -> None:
    """On a day of flies a box alert is false unless its first suspect is the herd."""
    alerts = [box_alert("3d10:00", name) for name in ("herd", "arm", None)]
    score = score_boxes([ARM], [FLIES], alerts, 3, 365.0)

    assert (score.false, score.box_years) == (2, 3.0)
    assert not excused_by([FLIES])(box_alert("3d17:00", "herd"))


def test_the_same_box_at_another_time_and_another_box_are_false() -> None:
    """Only the box with the fault, while it lasts."""
    alerts = [box_alert("07:00", "arm"), box_alert("07:00", "arm", "box:1"), box_alert("1d07:00", "arm")]

    assert score_boxes([ARM], [], alerts, 3, 365.0).false == 2


def test_share_limits() -> None:
    """Wilson's limits lie within 0 and 1, are wide with few and exist with none."""
    low, high = Share(0, 12).limits()

    assert low == pytest.approx(0.0, abs=1e-12)
    assert high == pytest.approx(0.2425, abs=0.0005)  # z^2/(n + z^2)
    assert Share(0, 0).limits() == (0.0, 1.0)


def test_pushes_a_day() -> None:
    """Only alerts that became `now` ring the phone at once."""
    alerts = [Told("box:1", 0, urgency="now"), Told("box:1", 5, urgency="round"), Told("cow:1", 9, urgency="now")]

    assert pushes_a_day(alerts, 4.0) == 0.5


def test_rings_a_day() -> None:
    """Alerts of one incident ring once; what can wait rings nobody."""
    alerts = [
        Told("box:1", 0, urgency="now", incident=1),
        Told("box:1", 5, urgency="now", incident=1),
        Told("cow:1", 9, urgency="now", incident=3),
        Told("cow:2", 9, urgency="round", incident=4),
    ]

    assert (rings_a_day(alerts, 4.0), pushes_a_day(alerts, 4.0)) == (0.5, 0.75)


def test_those_that_come_together_ring_once() -> None:
    """The first at once, those of the two hours after it in one; then the same anew."""
    hours = (0, 0.5, 1.5, 2.5, 3, 9)
    alerts = [Told(f"cow:{n}", round(h * 3600), rule="late", urgency="now", incident=n) for n, h in enumerate(hours, 1)]

    assert rings_a_day(alerts, 1.0) == 6
    assert rings_a_day(alerts, 1.0, {"late": 7200}) == 4  # at 0, 2, 4 and 9 h


def test_a_plain_bound_raises_once_and_ends_with_the_next_low_reading() -> None:
    """A missing reading neither raises nor ends; raised and over are decided at the next full hour."""
    nan = float("nan")
    readings = pd.DataFrame(
        {
            "subject": ["quarter:1/LF"] * 6 + ["quarter:2/LF"] * 2,
            "at": [H + 5, 2 * H + 5, 3 * H + 5, 4 * H + 5, 5 * H + 5, 6 * H + 5, H, 9 * H + 1],
            "value": [9.0, 16.0, nan, 17.0, 15.0, 20.0, 20.0, 1.0],
        }
    )

    assert [(a.subject, a.raised_at // H, a.over_at and a.over_at // H) for a in over(readings, 15.0, "rise")] == [
        ("quarter:1/LF", 3, 6),
        ("quarter:1/LF", 7, None),
        ("quarter:2/LF", 1, 10),
    ]


def test_late_only_because_of_an_outage() -> None:
    """An alert raised in an outage counts if nothing stood with exports on time, neither then nor just before."""
    outage = [(moment("10:00"), moment("14:00"))]
    late = [Told("cow:1", moment("12:00")), Told("cow:2", moment("15:00")), Told("cow:3", moment("15:01"))]
    really = [Told("cow:2", moment("11:00"), moment("13:00"))]

    assert late_by_an_outage(late, [], outage) == late[:2]
    assert late_by_an_outage(late, really, outage) == late[:1]
    assert late_by_an_outage(late, [Told("cow:1", moment("13:00"))], outage) == late[:2]


def point(bound: float, found: int, false: int) -> Point:
    """A bound that found so many of 100 clinical episodes with so many false alerts per 1,000 milkings."""
    return Point(bound, UdderScore({"udder-clinical": Share(found, 100)}, Share(1, 1), false, 1000, ()))


@pytest.mark.parametrize(("false", "found"), [(1, 0.0), (2, 0.3), (6, 0.5), (10, 0.7), (99, 0.7)])
def test_measures_are_compared_at_equal_false_alerts(false: float, found: float) -> None:
    """Between two bounds along the line, nothing below the quietest bound, no more than the loudest past it."""
    points = [point(10, 70, 10), point(20, 30, 2)]

    assert at_equal_false(points, false) == pytest.approx(found)


def test_a_lower_bound_flags_more() -> None:
    """A bound too high finds nothing, the right one finds it; one too low had raised its alert before the onset."""
    ill = clinical("quarter:217/LF", "08:00", "20:00")
    readings = pd.DataFrame(
        {"subject": "quarter:217/LF", "at": [moment(t) for t in ("00:00", "08:00", "16:00")], "value": [5.0, 12.0, 7.0]}
    )
    high, right, low = frontier([(tables(), [ill], readings)], [15.0, 10.0, 4.0])

    assert (high.clinical, right.clinical, low.clinical) == (0.0, 1.0, 0.0)
    assert [p.score.false for p in (high, right, low)] == [0, 0, 1]
    assert low.score.specific.value < right.score.specific.value == 1.0
