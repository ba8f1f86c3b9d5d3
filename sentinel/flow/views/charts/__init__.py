"""Charts as inline SVG text, each with its figures in words; colours by CSS class, and meaning never by colour alone.

`draw` and `shapes` are the parts, `series` and `failures` what is drawn, `quarter`, `box`, `cow_weeks`, `cells`,
`course`, `late` and `tank` the charts; `pictures` says which of them a page shows. The classes for a page's CSS are all
of strokes (`line-own`, `line-other`, `limit`, `raised`, `mark`, `bars`, `axis`, `axis grid`) but for `bar` (a fill;
with `own` the one that is meant), `axis band` (a shade), `tip`, `label`.
"""

from sentinel.flow.views.charts.box import failures_chart, teats_chart
from sentinel.flow.views.charts.cells import cells_chart
from sentinel.flow.views.charts.cow_weeks import cow_chart
from sentinel.flow.views.charts.draw import Picture
from sentinel.flow.views.charts.late import late_chart
from sentinel.flow.views.charts.quarter import quarter_chart
from sentinel.flow.views.charts.tank import tank_chart

__all__ = [
    "Picture",
    "cells_chart",
    "cow_chart",
    "failures_chart",
    "late_chart",
    "quarter_chart",
    "tank_chart",
    "teats_chart",
]
