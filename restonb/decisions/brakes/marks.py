"""The mark on a brake part is a limit: it is held beside the spec book's, and the stricter of the two decides."""

from __future__ import annotations

from typing import Any

from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, not_known, settled, to_do
from restonb.measure import Verdicts
from restonb.quantity import Quantity, convert, convert_difference, read

__all__ = ["NO_MARK", "amount_of", "mark_steps", "room", "stricter"]

NO_MARK = "no mark"
"""What is written for a part that was looked at, and carries no mark."""


def amount_of(mark: str | None) -> str | None:
    """The mark as an amount to be checked; None where nothing, or 'no mark', is written down."""
    return None if not mark or mark == NO_MARK else mark


def stricter(mark: str | None, limit: Any, largest: bool = False) -> Quantity | NotYet:
    """What decides of the mark, as typed, and the spec book's limit: the larger, or with `largest` the smaller of the two.

    `limit` is a quantity, false where the spec book has none. NotYet before somebody has looked for the mark.
    """
    if not mark:
        return NotYet(
            ("what is marked on the part itself, to be written into build.toml; 'no mark' where there is none",)
        )
    amount = amount_of(mark)
    known = [read(amount, "mm").to("mm")] if amount else []
    known += [limit.to("mm")] if limit else []
    if not known:
        return NotYet(("a limit: there is no mark, and the spec book has none",))
    return (min if largest else max)(known, key=lambda one: one.value)


def room(sizes: Verdicts, limit: Any, largest: bool = False) -> dict[str, Amount] | NotYet:
    """Place -> what is left to the limit in mm, with the reading's uncertainty, to be judged; below 0 the part is worn out.

    NotYet without a limit. A place that is not measured is left out.
    """
    if not isinstance(limit, Quantity):
        return limit if isinstance(limit, NotYet) else NotYet(("the limit",))
    sign, least = (-1.0 if largest else 1.0), limit.to("mm").value
    return {
        row.position: Amount(
            sign * (float(convert(row.value, row.unit, "mm")) - least),
            "mm",
            None if row.u is None else abs(float(convert_difference(row.u, row.unit, "mm"))),
        )
        for row in sizes
        if row.value is not None
    }


def mark_steps(finding: str, part: str, mark: str | None, limit: Any, governs: Any, where: str) -> list[Step]:
    """What the mark itself leaves to do: look for it, find another limit, or know that the two differ.

    `part`: 'the disc'; `where` it is looked for; `governs`: the answer of `stricter`.
    """
    if not mark:
        says = "No mark is written down for {part}: look {where}. Write what is marked, or 'no mark' where there is none, into build.toml."
        return [not_known(f"{finding}.missing", says, safety=True, part=part, where=where)]
    if not governs:
        says = "There is no mark on {part}, and the spec book has no limit: find the manual's, and do not guess."
        return [not_known(f"{finding}.no_limit", says, safety=True, part=part)]
    amount = amount_of(mark)
    if not amount:
        return []
    marked = read(amount, "mm")
    if not limit:
        says = "{Part} is marked {marked}: write that into the spec book too, as its wear limit."
        return [to_do(f"{finding}.unwritten", says, safety=True, part=part, marked=marked)]
    if abs(marked.to("mm").value - limit.to("mm").value) > 1e-6:
        says = (
            "{Part} is marked {marked}, the spec book says {limit}: it is judged by {governs}, the stricter of the two."
        )
        return [settled(f"{finding}.differs", says, part=part, marked=marked, limit=limit, governs=governs)]
    return []
