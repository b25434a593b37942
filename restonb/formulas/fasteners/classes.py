"""Property classes (ISO) and grades (SAE): strength and proof load, from tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import recalled, rows
from restonb.formulas.checks import need, positive
from restonb.formulas.threads.sizes import stress_area
from restonb.quantity import Thread

PACKAGE = "restonb.formulas.fasteners"
UNIFIED = ("UNC", "UNF", "UN")
LETTERS = {letter: f"grade {letter}" for letter in "RST"}
"""The letters of British steels as they stand on a head, and how the table calls them."""
MARKS = (*dict.fromkeys(r["mark"] for r in rows(PACKAGE, "classes.csv")), *LETTERS)


@dataclass(frozen=True, slots=True)
class Strength:
    proof: Annotated[float | None, Out("MPa", "proof stress Sp; none where only the tensile strength is at hand")]
    yield_strength: Annotated[float | None, Out("MPa", "lowest yield strength, Re or Rp0.2; none where not at hand")]
    tensile: Annotated[float, Out("MPa", "lowest tensile strength Rm")]
    notes: tuple[str, ...] = ()


def _row(mark: str, diameter: float) -> dict[str, str]:
    positive(diameter=diameter)
    same = [r for r in rows(PACKAGE, "classes.csv") if r["mark"] == LETTERS.get(mark, mark)]
    for row in same:
        if float(row["over_mm"]) < diameter <= float(row["to_mm"]):
            return row
    low, high = min(float(r["over_mm"]) for r in same), max(float(r["to_mm"]) for r in same)
    raise FormulaError(
        f"'{mark}' is tabled over {low:g} up to {high:g} mm, not for {diameter:g} mm; nothing is extrapolated"
    )


@formula(
    text="table by class or grade, and by diameter",
    source=("iso-898-1: Table 3", "sae-j429", "bs-1083: steel letters, recalled"),
    valid="plain steel bolts, screws and studs at room temperature; of the British letters R, S and T the tensile strength alone",
    not_for="unmarked hardware: treat it as the lowest class, or replace it",
)
def strength(
    mark: Annotated[str, In(None, "class or grade marked on the head", MARKS)],
    diameter: Annotated[float, In("mm", "nominal thread diameter")],
) -> Strength:
    """How strong a bolt of a marked class or grade is."""
    row = _row(mark, diameter)
    proof, yields = (float(row[key]) if row[key] else None for key in ("proof_MPa", "yield_MPa"))
    notes = [f"from {row['source']}"]
    if row["standing"] == "recalled":
        notes.append("from memory: the print was not at hand, so check it against the standard before you rely on it")
    return Strength(proof, yields, float(row["tensile_MPa"]), tuple(notes))


def _about_proof(thread: Thread, mark: str) -> tuple[str, ...]:
    """What a proof load stands on where it is not read in print: a row from memory, or strength times area."""
    row = _row(mark, thread.major)
    printed = _printed(thread, mark) if row["system"] == "ISO" else None
    if printed is not None:
        return recalled(printed, f"the proof load of {thread.text} in class {mark}")
    return (
        f"worked out as proof stress times stress area, {row['proof_MPa']} MPa x {stress_area.plain(thread):.1f} mm2; the printed "
        "table rounds, and may differ by half a percent",
    )


@formula(
    text="printed proof load where tabled, else Sp * As; Sp = proof stress, As = stress area",
    source=("iso-898-1: Tables 5 to 7", "sae-j429"),
    remarks=_about_proof,
    valid="a class of ISO 898-1 on ISO metric threads, coarse and fine; a grade of SAE J429 on unified inch threads",
    not_for="Whitworth, BSF, BA and cycle threads, which neither standard covers, and studs in soft castings",
)
def proof_load(
    thread: Annotated[Thread, In(None, "thread, such as 'M8x1.25' or '3/8-16 UNC'")],
    mark: Annotated[str, In(None, "class or grade marked on the head", MARKS)],
) -> Annotated[float, Out("N", "proof load")]:
    """Which load a bolt bears without a lasting stretch."""
    row = _row(mark, thread.major)
    _covered(row["system"], thread, mark)
    if row["system"] == "ISO":
        printed = _printed(thread, mark)
        if printed is not None:
            return float(printed["proof_N"])
    return float(row["proof_MPa"]) * stress_area.plain(thread)  # the area of the thread's own standard


def _printed(thread: Thread, mark: str) -> dict[str, str] | None:
    """The row of the table of proof loads, where it has this thread and class."""
    for row in rows(PACKAGE, "proof.csv"):
        if row["class"] == mark and float(row["thread"][1:]) == thread.major and _coarse(thread):
            return row
    return None


def _covered(system: str, thread: Thread, mark: str) -> None:
    """A mark promises something on the threads of its own standard only."""
    need(
        system != "British",
        f"'{mark}' is a British steel letter: its tensile strength is recalled, its proof load is not at hand; go by the maker's "
        "torque, or by the standard",
    )
    iso = system == "ISO"
    need(
        thread.series == "M" if iso else thread.series in UNIFIED,
        f"{'ISO 898-1' if iso else 'SAE J429'} ('{mark}') covers {'ISO metric' if iso else 'unified inch'} threads, coarse and "
        f"fine, not {thread.text}; its proof load is not tabled: go by the maker's torque, or by the standard of its own marking",
    )


def _coarse(thread: Thread) -> bool:
    coarse = {5.0: 0.8, 6.0: 1.0, 7.0: 1.0, 8.0: 1.25, 10.0: 1.5, 12.0: 1.75, 14.0: 2.0, 16.0: 2.0}
    return coarse.get(thread.major) == thread.pitch
