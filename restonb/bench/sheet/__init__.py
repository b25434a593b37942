"""A sheet in a notebook: what is measured, what it comes to, what is decided, and the filing of all that."""

from __future__ import annotations

import os
from html import escape

from restonb.bench.sheet.closing import Closing
from restonb.bench.sheet.measuring import Measuring
from restonb.bench.sheet.resting import Resting
from restonb.bench.sheet.working import Working
from restonb.record import Record
from restonb.stated import Build

__all__ = ["Sheet", "sheet"]


def sheet(key: str | Sheet, build: Build | None = None) -> Sheet:
    """The sheet of that name (or of that sheet), in the build that this notebook belongs to.

    While a template is being run, the record is seen as it was when the run began, and nothing can be entered;
    in a notebook that is open, as it stands. Raises BuildError where there is no build.
    """
    key, found = key if isinstance(key, str) else key.key, build or Build.find()
    head = os.environ.get("RESTONB_HEAD")
    return Sheet(key, found, Record.open(found), int(head) if head else None, bool(os.environ.get("RESTONB_STATIC")))


class Sheet(Measuring, Working, Resting, Closing):
    """One measuring job. Everything that it shows is HTML and plain text; nothing needs a script."""

    def __repr__(self) -> str:
        as_of = "" if self.as_of is None else f", as of entry {self.as_of}"
        return f"sheet {self.key} of {self.build.name}: {', '.join(self.rows) or 'no rows in the spec book yet'}{as_of}"

    def _repr_html_(self) -> str:
        from restonb.bench._look import styled

        return styled(f'<p class="small">{escape(repr(self))}</p>')
