"""What a planned torque does to its bolt: preload against proof load, where class and thread are known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from restonb.errors import FormulaError, QuantityError
from restonb.formulas.fasteners import preload, proof_load, wrench_range
from restonb.formulas.fasteners.classes import MARKS
from restonb.formulas.fasteners.torque import NUT_FACTORS
from restonb.quantity import read, read_thread
from restonb.stated import Fastener, Joint

__all__ = ["Load", "load", "thread_state", "wrench_for"]

DRY = "dry steel"
UNSAID = "not said: dry or oiled"
WORDS = (
    ("anti-seize", "anti-seize"),
    ("paste", "anti-seize"),
    ("cadmium", "cadmium plated"),
    ("zinc", "zinc plated"),
    ("threadlocker", "threadlocker: oiled to dry"),
    ("oil", "oiled"),
    ("grease", "oiled"),
    ("dry", DRY),
)
"""Words of a treatment, and the state of the thread that they mean; the first that is found counts."""

MIXED = (NUT_FACTORS["oiled"][0], NUT_FACTORS[DRY][1], NUT_FACTORS[DRY][2])
"""Nut factors where dry and oiled are both possible: wet threadlocker, or nothing said."""


@dataclass(frozen=True, slots=True)
class Load:
    """One group of fasteners against its proof load. Forces in N, shares in %; None where it cannot be worked out."""

    name: str
    torque: float
    """N m"""
    state: str
    factors: tuple[float, float, float]
    diameter: float | None = None
    """Nominal, in mm."""
    proof: float | None = None
    pulls: tuple[float, float, float] | None = None
    """Preload at the high, the usual and the low nut factor: lowest first."""
    why: str = ""

    @property
    def share(self) -> float | None:
        """Largest share of the proof load, at the low nut factor."""
        return None if self.proof is None or self.pulls is None else 100 * self.pulls[2] / self.proof

    @property
    def lowest_factor(self) -> float:
        return self.factors[0]

    @property
    def usual(self) -> float | None:
        return None if self.proof is None or self.pulls is None else 100 * self.pulls[1] / self.proof

    @property
    def word(self) -> str:
        if self.share is None or self.usual is None:
            return f"not checked: {self.why}"
        if self.usual > 100:
            return "above proof load"
        return "may pass proof load" if self.share > 100 else "below proof load"

    @property
    def over_if_dry(self) -> float:
        """By how much a torque meant for dry threads loads this one more than meant, in %."""
        return 100 * (NUT_FACTORS[DRY][1] / self.factors[1] - 1)


def load(joint: Joint, group: Fastener) -> Load | None:
    """What the planned torque does to its bolt; None where no torque is planned."""
    if group.torque is None:
        return None
    state = thread_state(group.treatment or joint.treatment)
    factors = NUT_FACTORS.get(state, MIXED)
    name = f"{joint.key}: {group.what}"
    torque = group.torque.to("N m").value
    bare = Load(name, torque, state, factors)
    if not group.thread:
        return _unchecked(bare, "no thread stated")
    try:
        thread = read_thread(group.thread)
        pulls = [float(preload(torque, thread.major, k)) for k in reversed(factors)]
    except (QuantityError, FormulaError) as error:
        return _unchecked(bare, str(error))
    found = replace(bare, diameter=thread.major, pulls=(pulls[0], pulls[1], pulls[2]))
    if not group.strength:
        return _unchecked(found, "no class stated")
    if group.strength not in MARKS:
        return _unchecked(found, f"'{group.strength}' is not in the tables of ISO 898-1 and SAE J429")
    try:
        return replace(found, proof=float(proof_load(thread, group.strength)))
    except FormulaError as error:
        return _unchecked(found, str(error))


def thread_state(treatment: str) -> str:
    """What a treatment in words means for friction in the thread."""
    said = treatment.casefold()
    return next((state for word, state in WORDS if word in said), UNSAID)


def wrench_for(torque: float, wrenches: Sequence[str]) -> str:
    """The smallest wrench on hand that suits a torque in N m, by its largest torque; '' where none is given."""
    for text in sorted(wrenches, key=lambda w: read(w, "N m").to("N m").value):
        if wrench_range(torque, read(text, "N m")).suits:
            return f"up to {text}"
    return "none on hand suits" if wrenches else ""


def _unchecked(found: Load, why: str) -> Load:
    return replace(found, why=why)
