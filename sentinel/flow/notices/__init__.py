"""What to send to whom at a moment, and when to look again.

Pure: the alerts, what was sent before and the moment in; notices out. Nothing here knows how a message is
delivered. In reading order: `desk` (what this room knows), `wants` (who should be told what, and from when),
`regular` (what is sent before a round and once a week), `plan` (the ceiling, and all of it together), `wording` (the
texts), `told_next` (what the page of one alert says of all this).
"""

from sentinel.flow.notices.desk import Desk, RuleWords
from sentinel.flow.notices.plan import PUSHES, next_due, plan
from sentinel.flow.notices.regular.due import Due, due_in_round
from sentinel.flow.notices.regular.list_times import LATE_S
from sentinel.flow.notices.regular.watched import watched_line
from sentinel.flow.notices.regular.week_times import HERD_WEEK
from sentinel.flow.notices.told_next import told_next
from sentinel.flow.notices.wants import OWED_FOR_S
from sentinel.flow.notices.wording import BOX_CAUTION, course_words

__all__ = [
    "BOX_CAUTION",
    "HERD_WEEK",
    "LATE_S",
    "OWED_FOR_S",
    "PUSHES",
    "Desk",
    "Due",
    "RuleWords",
    "course_words",
    "due_in_round",
    "next_due",
    "plan",
    "told_next",
    "watched_line",
]
