"""Is the arm out of line? The shift that all teats share at one box, against the other boxes and its own past."""

from __future__ import annotations

import numpy as np

from sentinel.flow.measures.base.facts import COWS, FIRST_AT, SUSPECTS, UNCERTAINTY, VISITS
from sentinel.flow.measures.base.ordered import sentences
from sentinel.flow.measures.base.shape import FactColumn, Measure, Option, Options, Readings
from sentinel.flow.measures.boxes.box_context import Case
from sentinel.flow.measures.boxes.box_readings import box_moments, distinct_cows, readings_of
from sentinel.flow.measures.boxes.failures.suspect_words import usual_place
from sentinel.flow.measures.boxes.peer_baseline import FEWEST
from sentinel.flow.measures.boxes.teat_positions import AXES
from sentinel.flow.model import DAY_S
from sentinel.flow.tables import Tables

TOLD_MM = 1.0
"""From here on a reading names its suspects and its cows: below it there is nothing to explain."""


def arm_offset_mm(tables: Tables, per: str, options: Options) -> Readings:
    """How far the teats have moved together in the eyes of a box, at the least, per box, in mm.

    Per visit and axis (which is along the cow and which across her the teats themselves tell): the median over her
    teats of where this box sees each, less her own mean at the other boxes over the 12 days before (with one box: at
    this one). Per box: the mean over the last 12, 24, 48 or 96 visits of 12 h, each held to 25 mm, less the box's own
    mean over the 7 days before them, from the last calibration in its log on. Right after one it is drawn toward where
    the box stood before, by how much calibrations usually move it. The value is the largest axis of the surest of the
    four windows, less so many standard errors (`errors`): a changed udder or an odd visit does not move it. The error
    holds the box's own scatter of the week, and how far boxes of this farm move in a day with nothing in their logs
    (`unlogged_moves`): where calibrations are not logged, or only some, a box set anew is not out of line. Missing
    with fewer than 5 such visits in 12 h. There is a reading at every visit at which cups were to be attached. `offset`
    is the median shift
    with the export's own sign, `moved` the same without it, `direction` which way as the cow stands.
    """
    case = Case.of(tables)
    box, at = box_moments(case.tries, tables.farm.asked_from)
    seen = case.teats.seen
    shift = seen.latest(box, at, options["errors"])
    is_known = shift.visits >= FEWEST
    surely = np.where(is_known[:, None], shift.surely(options["errors"]), 0.0)
    axis = surely.argmax(axis=1)
    each = np.arange(len(at))
    value = np.where(is_known, surely[each, axis], np.nan)
    offset = np.where(is_known, shift.mean[each, axis], np.nan)
    notable = np.flatnonzero(value > TOLD_MM)
    first, end = shift.first, shift.first + shift.visits
    direction = np.full(len(at), "", dtype=object)
    named = np.full(len(at), "", dtype=object)
    against = np.full(len(at), "", dtype=object)
    against[notable] = [usual_place(several) for several in case.several(at[notable])]
    offset[notable] = seen.middle_shift(shift, notable, axis[notable])
    for n in notable:
        named[n] = AXES[case.teats.role(int(axis[n]), int(first[n]), int(end[n]))]
        direction[n] = case.teats.direction(int(axis[n]), offset[n], int(first[n]), int(end[n]))
    start = seen.at[np.minimum(first, len(seen.at) - 1)] if len(seen.at) else at
    why = "fewer than 5 visits in 12 h show where the teats of a known cow are"
    return readings_of(
        case,
        box,
        at,
        value,
        np.where(is_known, "", why),
        notable,
        start,
        offset=np.round(offset, 1),
        moved=np.round(np.abs(offset)),
        uncertainty=np.round(np.where(is_known, 1.96 * shift.error[each, axis], np.nan), 1),
        direction=sentences(direction),
        against=sentences(against),
        axis=sentences(named),
        visits=shift.visits,
        cows=distinct_cows(seen, first, end, notable),
    )


ARM_OFFSET_MM = Measure(
    name="arm_offset_mm",
    unit="mm",
    per=("box",),
    doc="mm by which all teats seen at the box have moved together, at the least: the mean over the last 12, 24, 48 "
    "or 96 visits of how far this box sees them from where the other boxes see the same cow's, less the same over the "
    "7 days before, less 3.5 standard errors; on the axis that is most certain. After a calibration the comparison "
    "starts afresh; what boxes move by with nothing in their logs counts as error",
    source="definition; the medians and the held visits make it robust (Huber 1964, Ann Math Stat 35:73, from memory)",
    check="shifts of known size put into a herd: test_arm_offset",
    compute=arm_offset_mm,
    charts=("teats", "failures"),
    needs=("visits",),
    uses=("box_log",),
    options=(Option("errors", "x", 3.5, "how many standard errors are taken off"),),
    lookback_s=32 * DAY_S,
    facts=(
        COWS,
        VISITS,
        FIRST_AT,
        FactColumn("offset", "teat offset, total", "mm"),
        FactColumn("moved", "teat offset along one axis", "mm"),
        UNCERTAINTY,
        FactColumn("direction", "direction"),
        FactColumn("against", "compared with"),
        FactColumn("axis", "axis"),
        *SUSPECTS,
    ),
)

MEASURES = (ARM_OFFSET_MM,)
