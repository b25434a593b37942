"""Labels of a harness: what is still to be measured, printed, tied or scanned."""

from __future__ import annotations

from collections.abc import Sequence

from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, to_do
from restonb.measure import Verdicts
from restonb.words import fold

__all__ = ["CLOSING", "next_steps"]

CLOSING = "Every wire has its label, every label scans and names its entry. Even so, trust the meter before the paper."

SMALLEST_MODULE = 0.33
"""mm; common practice, no source: a telephone's camera at hand's length."""


def next_steps(
    unread: Sequence[str] | NotYet, pages: str | NotYet, module: float | NotYet, scale: Verdicts, wrong: Verdicts
) -> list[Step]:
    """The decision. `unread`: wires whose label can name no entry yet; `pages`: the sheets, false while nothing can be printed;
    `module`: side in mm of the smallest module of the codes.
    """
    if isinstance(unread, NotYet):
        return [
            to_do(
                "labels.wires", "Write the wires into the spec book and build.toml; then there is something to label."
            )
        ]
    if isinstance(pages, NotYet):
        return [to_do("labels.size", "Nothing can be printed: {why}.", why="; ".join(pages.missing))]
    printed = _print(scale)
    wrong_size = any(step.finding in ("print.below", "print.above") for step in printed)
    return [*_entries(unread), *_codes(module), *printed, *([] if wrong_size else _tie(wrong))]


def _entries(unread: Sequence[str]) -> list[Step]:
    if unread:
        says = "Measure {wires} from end to end before you print: the label has no entry to name yet."
        return [to_do("labels.no_entry", says, wires=fold(unread, None))]
    return [settled("labels.entries", "Every label names the entry of its wire.")]


def _codes(module: float | NotYet) -> list[Step]:
    if isinstance(module, NotYet):
        return [
            not_known(
                "labels.code",
                "How fine the codes are is not known. Still missing: {gone}.",
                gone="; ".join(module.missing),
            )
        ]
    side = Amount(module, "mm")
    if module < SMALLEST_MODULE:
        return [
            to_do(
                "labels.code",
                "The code is too fine, {side} a module: make the labels higher, or it may not scan.",
                side=side,
            )
        ]
    return [settled("labels.code", "The codes are large enough to scan, {side} a module.", side=side)]


def _print(scale: Verdicts) -> list[Step]:
    again = "set the printer to 100 % and print again, or labels do not fit their sleeves."
    return judged(
        scale, "print", "the length of the bar",
        measure="Print at 100 %, not 'fit to page', and measure the bar at the foot of the sheet.",
        inside="The print has its true size.",
        below=f"The print came out too small: {again}",
        above=f"The print came out too large: {again}",
        close="The length of the bar is too close to its limit to call: measure it again with a calliper.",
    )  # fmt: skip


def _tie(wrong: Verdicts) -> list[Step]:
    return judged(
        wrong, "labels", "the labels where they hang",
        measure="Cut them out, cover them with clear tape, tie one to each end; then scan every one where it hangs.",
        inside="Every label scans, and hangs on its wire.",
        outside="Some labels do not scan, or hang on another wire: put them right, and scan all of them again.",
        no_limit="Write 0 as the upper limit of wrong labels into the spec book: without it they cannot be judged.",
    )  # fmt: skip
