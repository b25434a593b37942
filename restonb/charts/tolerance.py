"""Is each position inside its limits, and by how much against what the instrument can tell?"""

from __future__ import annotations

from typing import Any

from matplotlib.figure import Figure

from restonb.charts import _bars
from restonb.charts._look import style
from restonb.charts._page import EDGE, Page
from restonb.charts._rows import grouped, rows, worst
from restonb.charts._say import facts, headline, notes, spoken


def tolerance_bars(verdicts: Any, *, date: str = "") -> Figure:
    """Value and uncertainty at each position, against limits, wear limit and guard zone.

    `verdicts`: a Verdicts table, a sequence of Verdict, or the dicts of a filed run; several characteristics
    get a panel each, in their own units. `date` is shown where the readings state none.
    """
    with style():
        found = rows(verdicts)
        groups = grouped(found)
        panels = [_bars.panel([(row,) for row in group], headed=len(groups) > 1) for group in groups]
        title = headline(found)
        page = Page(
            title,
            facts(found, date),
            sum(p.body for p in panels) or 0.3,
            alt=spoken(found, title, date),
            word=worst(found),
            key=_bars.keys(panels),
            notes=notes(found),
        )
        y = page.top
        for panel in panels:
            _bars.draw(page, panel, y)
            y += panel.body
        if not panels:
            page.write(EDGE, y + 0.12, "no positions")
        return page.figure
