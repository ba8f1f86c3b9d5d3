"""A box's failures added up against those expected, and a map of where it sees the teats."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from sentinel.flow.language import Words, told
from sentinel.flow.views.charts.draw import (
    WIDTH,
    Frame,
    Picture,
    day_axis,
    key,
    moment_line,
    nothing,
    picture,
    room,
    scale,
    thinned,
)
from sentinel.flow.views.charts.failures import Counted, Teat, TeatMap
from sentinel.flow.views.charts.quarter import QUARTERS
from sentinel.flow.views.charts.shapes import Points, dots, label, line, squares

AGAIN = 2
"""A cow is named in the words if she failed so often."""


def failures_chart(counted: Counted, words: Words, zone: str, at: int, raised_at: Iterable[int] = ()) -> Picture:
    """How many attachments failed and how many were expected of these cows, counted up over a stretch of time."""
    title = told(words, "Box {box}: failed attachments, and those expected for its cows", box=counted.box)
    name = f"failures-{counted.box}"
    if not counted.steps:
        return nothing(name, title, words.say("No cow was due at this box in this period."))
    failed: Points = _steps(counted, [(moment, count) for moment, count, _ in counted.steps])
    expected: Points = [(counted.begins, 0.0), *((moment, chance) for moment, _, chance in counted.steps)]
    frame = Frame(
        (counted.begins, counted.ends), room([v for _, v in (*failed, *expected)], 2, from_zero=True), 18, 168
    )
    raised = [moment for moment in raised_at if counted.begins < moment <= counted.ends]
    last = counted.steps[-1]
    named, height = key([("line-own", words.say("failed")), ("line-other", words.say("usual for these cows"))], 204)
    parts = [
        scale(frame, words, words.say("failed, counted up")),
        line([frame.at(*p) for p in thinned(expected)], "line-other"),
        line([frame.at(*p) for p in failed], "line-own", 2),
        dots([frame.at(moment, count) for moment, count in _rises(counted)], "line-own"),
        *(moment_line(frame, m, told(words, "raised {time}", time=words.time(m, at))) for m in raised),
        day_axis(frame, words, zone),
        named,
    ]
    often = [f"{cow} ({times})" for cow, times in Counter(counted.cows).most_common(3) if times >= AGAIN]
    sentences = [
        told(
            words,
            "From {begin} to {end}: {failed} of {tries} failed, {expected} usual.",
            begin=words.time(counted.begins, at),
            end=words.time(counted.ends, at),
            failed=last[1],
            tries=len(counted.steps),
            expected=words.number(last[2]),
        ),
        told(words, "Cows that failed more than once: {cows}.", cows=", ".join(often)) if often else "",
        *(told(words, "Raised {time}.", time=words.time(moment, at)) for moment in raised),
    ]
    return picture(name, title, sentences, height, parts)


def _rises(counted: Counted) -> list[tuple[int, int]]:
    """The moments of the failures, with the count after each; if they are many, only some are marked."""
    before, rises = 0, []
    for moment, count, _ in counted.steps:
        if count > before:
            rises.append((moment, count))
        before = count
    return rises[:: 1 + len(rises) // 60]


def _steps(counted: Counted, counts: Iterable[tuple[int, int]]) -> list[tuple[float, float]]:
    """The count as a stair, with a corner before and after each failure."""
    stair: list[tuple[float, float]] = [(counted.begins, 0)]
    for moment, count in counts:
        if count > stair[-1][1]:
            stair += [(moment, stair[-1][1]), (moment, count)]
    return [*stair, (counted.ends, stair[-1][1])]


MAP_HEIGHT, MAP_LEFT, MAP_RIGHT = 236.0, 60.0, WIDTH - 60.0


def teats_chart(teat_map: TeatMap, words: Words, at: int) -> Picture:
    """A map from above: where the other boxes see the teats (hollow squares), where this box does (round marks).

    The cow's head is up. Shifts are drawn in the same scale as the udder.
    """
    title = told(words, "Box {box}: where it sees the teats, against the other boxes", box=teat_map.box)
    name = f"teats-{teat_map.box}"
    if not teat_map.teats:
        return nothing(name, title, words.say("No teat positions were recorded at this box in this period."))
    frame = _map_frame(teat_map.teats)
    usual = [frame.at(t.right, t.along) for t in teat_map.teats]
    here = [frame.at(t.right + t.off_right, t.along + t.off_along) for t in teat_map.teats]
    parts = [
        label(WIDTH / 2, 12, words.say("front of the cow"), "middle"),
        label(4, MAP_HEIGHT / 2, words.say("left")),
        label(WIDTH - 4, MAP_HEIGHT / 2, words.say("right"), "end"),
        squares(usual, "line-other", 4),
        *(line([a, b], "line-own", 1.5) for a, b in zip(usual, here, strict=True)),
        dots(here, "line-own", 4),
        *(
            label(x, y + (20 if teat.along < 0 else -11), words.say(QUARTERS[teat.quarter]), "middle")
            for (x, y), teat in zip(usual, teat_map.teats, strict=True)
        ),
        _ruler(frame, words),
        key([("dot", words.say("this box")), ("square-other", words.say("the other boxes"))], MAP_HEIGHT - 4, 60)[0],
    ]
    sentences = [
        told(
            words,
            "From {begin} to {end}, {visits|visit|visits}.",
            begin=words.time(teat_map.begins, at),
            end=words.time(teat_map.ends, at),
            visits=max(teat.visits for teat in teat_map.teats),
        ),
        *(_told(teat, words) for teat in teat_map.teats),
    ]
    return picture(name, title, sentences, MAP_HEIGHT + 4, parts)


def _map_frame(teats: Iterable[Teat]) -> Frame:
    """One scale for both directions, around everything that is drawn."""
    ends = [(t.right + f * t.off_right, t.along + f * t.off_along) for t in teats for f in (0, 1)]
    wide, high = MAP_RIGHT - MAP_LEFT, MAP_HEIGHT - 36 - 44
    across, along = (room((p[axis] for p in ends), 20) for axis in (0, 1))
    per_mm = min(wide / (across[1] - across[0]), high / (along[1] - along[0]))

    def around(ends: tuple[float, float], size: float) -> tuple[float, float]:
        middle, half = sum(ends) / 2, size / per_mm / 2
        return middle - half, middle + half

    return Frame(around(across, wide), around(along, high), 36, MAP_HEIGHT - 44, MAP_LEFT, MAP_RIGHT)


def _ruler(frame: Frame, words: Words) -> str:
    """A line of 20 mm."""
    size = frame.across(frame.x[0] + 20) - frame.left
    y = MAP_HEIGHT - 22
    return line([(8, y), (8 + size, y)], "axis", 2) + label(8, y - 4, told(words, "{n} mm", n=20))


def _told(teat: Teat, words: Words) -> str:
    """One teat's shift in words."""
    side = words.say("to the right") if teat.off_right > 0 else words.say("to the left")
    end = words.say("to the front") if teat.off_along > 0 else words.say("to the rear")
    return told(
        words,
        "{teat}: seen {across} mm {side} and {along} mm {end}.",
        teat=words.say(QUARTERS[teat.quarter]).capitalize(),
        across=words.number(abs(teat.off_right)),
        side=side,
        along=words.number(abs(teat.off_along)),
        end=end,
    )
