"""Cylinder bores: taper, ovality, size, piston clearance, and the remedy: one size for all cylinders."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, to_do, worst_state
from restonb.measure import Verdict, Verdicts
from restonb.quantity import read
from restonb.words import counted, fold, listed, listed_places

__all__ = [
    "CLOSING",
    "Bore",
    "Oversize",
    "bore_rows",
    "clearance_row",
    "cut_before",
    "name_of",
    "next_steps",
    "numbers",
    "oversize",
    "piston_row",
    "shape_rows",
    "standard_of",
    "widest",
]

CLOSING = (
    "Bores, pistons and ring gaps are inside: wash the bores with hot soapy water until a white rag stays white, oil them at "
    "once, and assemble."
)

ABSURD = 0.04
"""A bore that differs by more than this share from its standard was misread: no oversize goes as far (common practice)."""
HONED = 0.10
"""mm that a hone may take off at most; more is bored (common practice, no source)."""


class Oversize(NamedTuple):
    """The next size that cleans up every bore, in mm: piston over standard, finished bore, and the least that is left to cut."""

    step: float
    finish: float
    stock: float


class Bore(NamedTuple):
    """One cylinder: verdicts on its diameters, on ovality and taper, on the piston's clearance in it.

    `limits` of its diameter and `standard` bore in mm, NotYet where they are not stated; `cut`: the answer of cut_before.
    """

    name: str
    size: Verdicts
    shape: Verdicts
    clearance: Verdicts
    limits: tuple[float, float] | NotYet
    standard: float | NotYet
    cut: float | NotYet | None = None


def bore_rows(rows: Iterable[str]) -> list[str]:
    """The bores that the rows of the spec book speak of: 'bore' of a single, 'bore_left' and the like; those of a twin if none.

    A cylinder of which only the piston has a row has a bore too, whose row is missing then.
    """
    parts = ("bore", "ovality", "taper", "piston", "clearance")
    names = [row for row in rows if row.split("_")[0] in parts]
    return list(dict.fromkeys("_".join(["bore", *row.split("_")[1:]]) for row in names)) or ["bore_left", "bore_right"]


def name_of(row: str) -> str:
    """'left' of 'bore_left', '' of 'bore'."""
    return row.removeprefix("bore").lstrip("_")


def shape_rows(row: str) -> tuple[str, str]:
    """The rows of ovality and taper that belong to a bore's."""
    return row.replace("bore", "ovality", 1), row.replace("bore", "taper", 1)


def piston_row(row: str) -> str:
    """The row of the piston that runs in a bore."""
    return row.replace("bore", "piston", 1)


def clearance_row(row: str) -> str:
    """The row of the piston's clearance in a bore."""
    return row.replace("bore", "clearance", 1)


def numbers(wear: Mapping[str, Any]) -> list[tuple[str, Any, str, str]]:
    """Name, value, unit and words of what is kept of each bore: widest place, taper, ovality.

    `wear`: row -> the answer of engine.bore_wear.
    """
    found = []
    for row, of in wear.items():
        name = name_of(row)
        for key, value, what in (
            ("largest", of.largest, "widest place"), ("taper", of.taper, "taper"), ("ovality", of.ovality, "ovality"),
        ):  # fmt: skip
            found.append((f"{key}_{name}".rstrip("_"), value, "mm", f"{_called(name)}, {what}"))
    return found


def standard_of(limits: Any, stated: str) -> float | NotYet:
    """The standard bore in mm: as stated with its unit, else the lower limit of the spec book; NotYet where there is neither."""
    if stated:
        return read(stated, "mm").to("mm").value
    return limits if isinstance(limits, NotYet) else float(limits[0])


def widest(wear: Mapping[str, Any]) -> list[float] | NotYet:
    """The widest diameter of each cylinder in mm; NotYet while one is not measured. `wear`: as for numbers."""
    gone = [why for found in wear.values() if isinstance(found, NotYet) for why in found.missing]
    return NotYet(tuple(dict.fromkeys(gone))) if gone else [float(found.largest) for found in wear.values()]


def oversize(largest: Sequence[float], standard: float, steps: Sequence[str], clean_up: str) -> Oversize | None:
    """The smallest oversize piston whose bore leaves at least `clean_up` to cut in every cylinder; None if none does.

    `largest`: widest diameter of each cylinder, `standard`: the standard bore, in mm; `steps`: pistons to be had, over standard,
    with their units; `clean_up` on the diameter, with its unit.
    """
    least = read(clean_up, "mm").to("mm").value
    for step in sorted(_mm(steps)):
        finish = standard + step
        if finish - max(largest) >= least - 1e-9:
            return Oversize(step, finish, finish - max(largest))
    return None


def cut_before(smallest: float, limits: tuple[float, float], standard: float, steps: Sequence[str]) -> float | None:
    """The oversize in mm that a bore was cut to, by its least worn place; None where that lies within the limits of the spec book.

    What is not worn is still at the size that it was cut to, give or take the tolerance of a bore.
    """
    if smallest <= limits[1]:
        return None
    slack = limits[1] - limits[0]
    return max((step for step in _mm(steps) if smallest >= standard + step - slack - 1e-9), default=None)


def _mm(steps: Sequence[str]) -> list[float]:
    return [read(step, "mm").to("mm").value for step in steps]


def next_steps(bores: Sequence[Bore], next_size: Any, ring_gap: Verdicts) -> list[Step]:
    """The decision, cylinder by cylinder; then one size for all of them, the pistons, and the ring gap.

    `next_size`: the answer of oversize over all cylinders, NotYet while it cannot be worked out.
    """
    steps = [step for bore in bores for step in _bore(bore)]
    cut = [bore for bore in bores if any(step.finding in _WORN for step in _bore(bore))]
    if cut:
        steps.append(_remedy(cut, bores, next_size))
    if worst_state(steps) != "settled" or not bores:
        return steps
    clearance = [step for bore in bores for step in _clearance(bore)]
    return [*steps, *clearance, *_rings(ring_gap)]


_WORN = ("bore.wide", "bore.shape")
"""Findings that are put right by a larger size, or a new liner."""


def _bore(bore: Bore) -> list[Step]:
    called = _called(bore.name)
    name: dict[str, Any] = {"bore": called}
    if absurd := _absurd(bore):
        says = "{Bore} reads {reads} ({where}), and is {standard} when new: that is a slip, or another unit. Measure again."
        return [
            not_known(
                "bore.absurd",
                says,
                absurd,
                **name,
                reads=_reads(absurd),
                where=_where(absurd, bore.size),
                standard=_standard(bore),
            )
        ]
    outside = [row for row in bore.size if row.word == "outside"]
    wide, tight = [r for r in outside if r.side == "above"], [r for r in outside if r.side == "below"]
    found: list[Step] = []
    if isinstance(bore.cut, float):
        says = (
            "{Bore} was cut to the {cut} oversize: its least worn place says so. Read the mark on the piston's crown, and write the "
            "limits of that size into the spec book; the limits of the standard size cannot judge it."
        )
        return [to_do("bore.oversize", says, outside or bore.size, **name, cut=Amount(bore.cut, "mm"))]
    if fresh := [row for row in outside if _fresh(row)]:
        says = (
            "{Bore} came back from outside work like this: {reads} ({where}). Send it back with the table of readings, before it is "
            "paid for or assembled."
        )
        return [to_do("bore.back", says, fresh, **name, reads=_reads(fresh), where=_where(fresh, bore.size))]
    if wide:
        says = f"{{Bore}} is too wide at {len(wide)} of {counted(len(bore.size), 'place')}, most of all at {{worst}}: {{most}}."
        most = max(wide, key=lambda row: row.value or 0.0)
        found.append(to_do("bore.wide", says, wide, **name, worst=most.position, most=_reads([most])[0]))
    if tight:
        found.append(_tight(bore, tight))
    rest = [step for step in (*_sizes(bore, called), *_shape(bore, called)) if step.state != "settled"]
    if found:  # it is cut anyway: what is too close to call elsewhere in it decides nothing
        rest = [step for step in rest if not step.finding.endswith(".close")]
    if found or rest:
        return [*found, *rest]
    says = "{Bore}: size, taper and ovality are inside their limits."
    return [settled("bore", says, [*bore.size, *bore.shape], **name)]


def _sizes(bore: Bore, called: str) -> list[Step]:
    rest = Verdicts(tuple(row for row in bore.size if row.word != "outside"))
    if len(bore.size) and not len(rest):
        return []
    return judged(
        rest, "bore", f"the {called}",
        measure="Measure {what} at every depth and axis (still to do: {at}).",
        inside="{What} has its size.",
        close="{What} is too close to its limit to call with this gauge ({at}); the remark in the table says what would settle it.",
    )  # fmt: skip


def _shape(bore: Bore, called: str) -> list[Step]:
    rows = bore.shape
    if not len(rows) and bore.size.word == "not measured":
        return []
    if not len(rows):
        says = "Taper and ovality of {what} are not judged: write their rows into the spec book."
        return [not_known("bore.shape.row", says, what=f"the {called}")]
    if any(row.word == "not measured" for row in (*bore.size, *rows)):
        rows = Verdicts(tuple(row for row in rows if row.word != "not measured"))
    if not len(rows):
        return []
    steps = judged(
        rows, "bore.shape", f"the shape of the {called}",
        measure="{What} cannot be worked out yet: measure at every depth and axis.",
        inside="{What} is inside its limits.",
        outside="{What} is outside its limits: {at}.",
        close="{What} is too close to its limit to call with this gauge: {at}.",
    )  # fmt: skip
    what = {row.characteristic.key: row.characteristic.what or row.characteristic.key for row in rows}
    return [
        step._replace(
            finding="bore.shape" if step.finding == "bore.shape.outside" else step.finding,
            values={**step.values, "at": listed_places((what[key], place) for key, place in step.about)},
        )
        for step in steps
    ]


def _tight(bore: Bore, tight: Sequence[Verdict]) -> Step:
    """Too tight: a hone, or more than a hone can take."""
    short = max(float(row.lower or 0.0) - float(row.value or 0.0) for row in tight)
    short = _mm_of(short, tight[0].unit)
    values: dict[str, Any] = {
        "bore": _called(bore.name),
        "where": _where(tight, bore.size),
        "short": Amount(short, "mm"),
    }
    if short <= HONED:
        return to_do("bore.tight", (
            "{Bore} is too tight ({where}), by {short} at most: have it honed, to the measured piston and its clearance."
        ), tight, **values)  # fmt: skip
    return to_do("bore.small", (
        "{Bore} is {short} under its standard size ({where}): that is more than a hone takes off. Make sure that barrel and piston "
        "belong together, then have it bored."
    ), tight, **values)  # fmt: skip


def _absurd(bore: Bore) -> list[Verdict]:
    """Readings that no bore of that standard can have."""
    if isinstance(bore.standard, NotYet):
        return []
    low, high = bore.standard * (1 - ABSURD), bore.standard * (1 + ABSURD)
    return [row for row in bore.size if row.value is not None and not low <= _mm_of(row.value, row.unit) <= high]


def _remedy(worn: Sequence[Bore], bores: Sequence[Bore], next_size: Any) -> Step:
    """What is done about worn bores: all cylinders go to one size, since pistons of two sizes run out of balance."""
    rows = [row for bore in worn for row in (*bore.size, *bore.shape) if row.word == "outside"]
    which = {1: "Bore and hone it", 2: "Bore and hone both cylinders"}.get(len(bores), "Bore and hone all cylinders")
    if isinstance(next_size, Oversize):
        also = (
            ""
            if len(bores) == len(worn)
            else f" That takes in the {listed(_called(b.name) for b in bores if b not in worn)} too."
        )
        says = (
            f"{which} for the {{step}} oversize pistons, to {{finish}} by the spec book, which leaves {{stock}} or more on the "
            "diameter to clean up; or fit new liners. Have the pistons in hand first: each bore is cut to its own measured piston "
            f"and the clearance that the piston's maker states; that decides, not the name of the oversize.{also}"
        )
        sizes: dict[str, Any] = {key: Amount(value, "mm") for key, value in next_size._asdict().items()}
        return to_do("remedy.oversize", says, rows, **sizes)
    if next_size is None:
        return to_do(
            "remedy.liner", "No oversize on the list cleans it up: a new liner, bored to its measured piston.", rows
        )
    says = "Write the oversize pistons that can be had into build.toml, or fit a new liner. Still missing: {gone}."
    return to_do("remedy.pistons", says, rows, gone="; ".join(getattr(next_size, "missing", ("the pistons",))))


def _clearance(bore: Bore) -> list[Step]:
    called = _called(bore.name)
    steps = judged(
        bore.clearance, "clearance", f"the clearance of the piston in the {called}",
        measure=f"Measure the piston of the {called}, where its maker says; its clearance decides whether it may run.",
        inside=f"The piston has its clearance in the {called}.",
        below=f"The piston is too tight in the {called} ({{at}}): it will seize. Have the bore honed to that piston and its clearance.",
        above=f"The piston is too loose in the {called} ({{at}}), and the bore is inside: the piston is worn, or is the wrong "
        "size. Fit a new one.",
        close=f"The clearance of the piston in the {called} is too close to its limit to call: measure bore and piston again at one "
        "temperature.",
    )  # fmt: skip
    at = {row.position: row for row in bore.clearance}
    return [
        step._replace(values={**step.values, "at": _where([at[place] for _, place in step.about], bore.clearance)})
        if step.about
        else step
        for step in steps
    ]


def _rings(ring_gap: Verdicts) -> list[Step]:
    return judged(
        ring_gap, "ring_gap", "the ring gap",
        measure="Then push each ring square into its bore and measure its gap (still to do: {at}).",
        inside="The ring gaps are inside their limits.",
        below="The ring gap is too small at {at}: the ends meet when it gets hot, and the ring seizes or breaks. File the ends "
        "square, a little at a time.",
        above="The ring gap is too large at {at}, in a bore that is inside: fit other rings. Filing does not help.",
        close="The ring gap is too close to call with these blades at {at}; the remark in the table says what would settle it.",
    )  # fmt: skip


def _fresh(row: Verdict) -> bool:
    return row.reading is not None and row.reading.occasion == "back from outside work"


def _reads(rows: Sequence[Verdict]) -> list[Amount]:
    """The readings from the least to the largest, the ends of them where there are several."""
    values = sorted({row.value for row in rows if row.value is not None})
    return [Amount(value, rows[0].unit) for value in (values[:1] + values[-1:] if len(values) > 1 else values)]


def _where(rows: Sequence[Verdict], every: Iterable[Verdict]) -> str:
    """'depth 70mm / axis A', 'everywhere', '3 of 6 places'."""
    total = len(list(every))
    if len(rows) == total > 1:
        return "everywhere"
    if len(rows) > 2:
        return f"{len(rows)} of {counted(total, 'place')}"
    return fold(row.position for row in rows) or "once"


def _standard(bore: Bore) -> Any:
    return "not stated" if isinstance(bore.standard, NotYet) else Amount(bore.standard, "mm")


def _mm_of(value: float, unit: str) -> float:
    from restonb.quantity import convert

    return float(convert(value, unit, "mm"))


def _called(name: str) -> str:
    return f"{name} bore".strip()
