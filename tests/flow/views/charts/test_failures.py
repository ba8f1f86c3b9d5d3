"""A box's failures counted up, and its map of teats."""

from __future__ import annotations

from text_tables import moment, moment_text
from view_farm import AT, VISITS, rows

from sentinel.flow.views.charts.failures import counted, teat_map


def test_failures_are_counted_up_beside_those_expected() -> None:
    """Refused visits are no tries; the chances are those of the measure, small and adding up."""
    found = counted("2", rows(visits=VISITS), moment("00:00"), AT)
    assert [(moment_text(at), failed) for at, failed, _ in found.steps] == [("16:00", 1), ("1d02:00", 1)]
    assert found.cows == ("217",)
    assert 0 < found.steps[0][2] < found.steps[1][2] < 1
    assert counted("7", rows(visits=VISITS), moment("00:00"), AT).steps == ()


def test_teats_are_mapped_with_the_cows_head_up() -> None:
    """Box 2 sees them 10 mm to the cow's left; the export counts across to her right, along to her front."""
    wide = "lf_x_mm  lf_y_mm  rf_x_mm  rf_y_mm  lr_x_mm  lr_y_mm  rr_x_mm  rr_y_mm"
    lines = [f"cow  start  box  outcome  {wide}"]
    for day in range(-9, 0):
        lines += [f"{cow}  {day}d0{cow}:00  1  milked  440  -60  440  60  330  -40  330  40" for cow in (1, 2)]
    lines += [f"{cow}  1d0{cow}:00  2  milked  440  -70  440  50  330  -50  330  30" for cow in (1, 2)]
    found = teat_map("2", rows(visits="\n".join(lines)), moment("1d00:00"), AT)
    told = [(t.quarter, *(round(mm) for mm in (t.along, t.right, t.off_along, t.off_right))) for t in found.teats]
    assert told == [
        ("LF", 55, -60, 0, -10), ("RF", 55, 60, 0, -10), ("LR", -55, -40, 0, -10), ("RR", -55, 40, 0, -10),
    ]  # fmt: skip
    swapped = [line.replace("440", "x").replace("330", "440").replace("x", "330") for line in lines[1:]]
    flipped = "\n".join([lines[0], *swapped])
    turned = teat_map("2", rows(visits=flipped), moment("1d00:00"), AT)
    assert [round(t.along) for t in turned.teats] == [55, 55, -55, -55]
    assert teat_map("2", rows(visits=VISITS), moment("1d00:00"), AT).teats == ()
