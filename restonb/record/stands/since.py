"""What is known of edits since an earlier day: files keep no history, but every run says what it took from them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from restonb.record._journal import Record
from restonb.record.stands.basis import edits
from restonb.record.stands.stale import spec_edits
from restonb.record.stands.whole import Standing
from restonb.record.views import Run, runs

if TYPE_CHECKING:
    from restonb.stated import Build

__all__ = ["edited_since"]


def edited_since(record: Record, build: Build, found: Standing) -> dict[str, tuple[str, ...]]:
    """By sheet, what the files say today that differs from what the run in force in that view saw, or the next one.

    An edit of which no run tells stays unknown.
    """
    next_runs: dict[str, Run] = {}
    for run in runs(record):
        if run.seq > found.seq:
            next_runs.setdefault(run.sheet, run)
    said = {}
    for name in dict.fromkeys((*found.sheets, *next_runs)):
        stood = found.sheets[name].run if name in found.sheets else None
        told = stood or next_runs.get(name)
        if told and (texts := tuple(_edits(build, told))):
            said[name] = texts
    return said


def _edits(build: Build, run: Run) -> Iterator[str]:
    rows = tuple(row for row in build.specs if row.sheet == run.sheet)
    yield from (reason.text for reason in spec_edits(build, run, rows))
    yield from edits(build, run)
    if "joints" in run.basis:
        now, then = set(build.joints.relied_on(run.sheet)), set(run.basis["joints"])
        if now - then:
            yield f"it now relies on {', '.join(sorted(now - then))} too"
        if then - now:
            yield f"it no longer relies on {', '.join(sorted(then - now))}"
