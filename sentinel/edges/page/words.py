"""The page's texts in the farm's language, and times and figures in its habit."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from babel.dates import format_datetime
from babel.numbers import format_decimal

from sentinel.edges.page.labels import LABELS
from sentinel.texts import LOCALES, catalogue


class Words:
    """How one farm says things: its language, its clock, its decimal mark."""

    def __init__(self, language: str, decimal: str, zone: str) -> None:
        self.language = language
        self.texts = catalogue(language)
        self._locale = LOCALES[(language, decimal)]
        self._zone = ZoneInfo(zone)
        self._d = "d." if language == "de" else "d"

    def say(self, text: str) -> str:
        """A text in this language."""
        return self.texts.gettext(text)

    def label(self, group: str, code: str) -> str:
        """A code of the views in words (`place`, `boxes`); a code that is not known is shown as it is."""
        english = LABELS.get(group, {}).get(code)
        return self.texts.gettext(english) if english else code.replace("_", " ").replace("-", " ")

    def local(self, moment: int) -> datetime:
        """A moment on the farm's clock."""
        return datetime.fromtimestamp(moment, self._zone)

    def time(self, moment: int, at: int) -> str:
        """A moment as seen from `at`: the time of day, with the day if it is another one, with the year if need be."""
        then, now = self.local(moment), self.local(at)
        apart = abs((then.date() - now.date()).days)
        day = (
            ""
            if apart == 0
            else "EEE "
            if apart < 7
            else f"{self._d} MMM "
            if then.year == now.year
            else f"{self._d} MMM y "
        )
        return str(format_datetime(then, day + "HH:mm", locale=self._locale))

    def day(self, moment: int) -> str:
        """The day of a moment, with its weekday."""
        return str(format_datetime(self.local(moment), f"EEEE {self._d} MMMM", locale=self._locale))

    def date(self, moment: int) -> str:
        """The day of a moment, short."""
        return str(format_datetime(self.local(moment), f"EEE {self._d} MMM", locale=self._locale))

    def near(self, moment: int) -> str:
        """The day of a moment in the last weeks, as short as it can be: `Mon 4`."""
        return str(format_datetime(self.local(moment), f"EEE {self._d}", locale=self._locale))

    def whole(self, moment: int) -> str:
        """A moment with its day, for what is read later, on paper."""
        return str(format_datetime(self.local(moment), f"EEE {self._d} MMM y HH:mm", locale=self._locale))

    def subject(self, kind: str, name: str) -> str:
        """A cow, a quarter, a box or a tank by its number."""
        cow, _, quarter = name.partition("/")
        if kind == "quarter":
            return f"{self.subject('cow', cow)}, {self.label('quarter', quarter)}"
        if kind == "cow":
            return self.say("Cow %(cow)s") % {"cow": name}
        if kind == "box":
            return self.say("Box %(box)s") % {"box": name}
        return self.say("Tank %(tank)s") % {"tank": name}

    def chore(self, name: str, place: str) -> str:
        """A chore and where it is done."""
        return f"{self.label('chore', name)} {place}".strip()

    def unit(self, unit: str) -> str:
        """A unit as it is written after a figure; a ratio has none."""
        return "" if unit == "ratio" else self.texts.gettext(unit) if unit else ""

    def stamp(self, moment: int) -> str:
        """A moment for programs: RFC 3339 in the farm's zone."""
        return self.local(moment).isoformat()

    def number(self, value: float, places: int = 1) -> str:
        """A figure with at most so many decimal places, in the farm's habit."""
        pattern = "#,##0" if places == 0 else "#,##0." + "#" * places
        return str(format_decimal(value, format=pattern, locale=self._locale)).replace("-", "−")

    def ago(self, seconds: float) -> str:
        """A span of time in words: minutes under two hours, hours under two days, else days."""
        minutes = max(0, round(seconds / 60))
        say = self.texts.gettext
        if minutes < 120:
            return say("%(n)s min") % {"n": minutes}
        if minutes < 48 * 60:
            return say("%(n)s h") % {"n": self.number(minutes / 60)}
        return say("%(n)s days") % {"n": self.number(minutes / 1440, 0)}
