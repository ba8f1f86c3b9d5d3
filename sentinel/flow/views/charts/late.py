"""The late cows as bars."""

from __future__ import annotations

from sentinel.flow.language import Words, told
from sentinel.flow.views.charts.draw import WIDTH, Frame, Picture, key, nothing, picture
from sentinel.flow.views.charts.shapes import bar, label, line
from sentinel.flow.views.parts.late_cows import LateCows

MOST_BARS = 12
PALE = 0.5


def late_chart(late_cows: LateCows, words: Words, at: int, cow: str = "") -> Picture:
    """Hours since milking of the late cows as lying bars, each with the bound that holds for her; `cow` stands out."""
    title = words.say("Hours since milking of the cows that are late")
    shown = list(late_cows.cows[:MOST_BARS])
    shown += [late for late in late_cows.cows[MOST_BARS:] if late.cow == cow]
    if not shown:
        return nothing("late", title, words.say("No cow is late, as far as the visits are known."))
    most = max(max(late.hours, late.bound_h) for late in shown)
    frame = Frame((0, most * 1.02), (0, 1), 8, 8 + 20 * len(shown), 66, WIDTH - 52)
    parts = []
    for n, late in enumerate(shown):
        y = frame.top + 20 * n
        x = frame.across(late.hours)
        bold = " own" if late.cow == cow else ""
        parts += [
            label(frame.left - 6, y + 12, late.cow, "end", f"label{bold}"),
            bar(frame.left, y + 2, x - frame.left, 13, f"bar{bold}", 1.0 if bold else PALE),
            line([(frame.across(late.bound_h), y), (frame.across(late.bound_h), y + 17)], "limit", 2),
            label(x + 5, y + 12, told(words, "{n} h", n=words.number(late.hours)), "start"),
        ]
    named, end = key([("bar", words.say("hours since milking")), ("limit", words.say("bound"))], frame.bottom + 18)
    more = len(late_cows.cows) - len(shown)
    sentences = [
        told(words, "Known until {time}.", time=words.time(late_cows.known_until, at)) if late_cows.known_until else "",
        *(
            told(
                words,
                "Cow {cow}: {hours} h, bound {bound} h.",
                cow=late.cow,
                hours=words.number(late.hours),
                bound=words.number(late.bound_h),
            )
            for late in shown
        ),
        told(words, "{n|more cow is|more cows are} late.", n=more) if more else "",
    ]
    return picture("late", title, sentences, end, [*parts, named])
