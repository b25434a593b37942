"""What thread is this? From a measured diameter and pitch; and which other threads it could be taken for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import between, need, positive
from restonb.formulas.threads._form import INCH, form_of
from restonb.quantity import Thread, standard_threads

__all__ = ["Identified", "LookAlikes", "identify", "look_alikes"]

_NEAR_PITCH = 0.10
_NEAR_DIAMETER = 0.40
"""Threads nearer than this, in share of the pitch and in mm, start into one another or are taken for one another."""


@dataclass(frozen=True, slots=True)
class Identified:
    """Threads that a measurement fits, the likeliest first."""

    likeliest: Annotated[str, Out(None, "likeliest thread, or threads that the measurement fits alike")]
    candidates: Annotated[tuple[str, ...], Out(None, "every thread that the measurement fits")]
    pitch_off: Annotated[float | None, Out("%", "measured pitch against that of the likeliest")]
    diameter_off: Annotated[float, Out("mm", "measured diameter against the basic one of the likeliest")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LookAlikes:
    """Threads that a thread may be taken for."""

    others: Annotated[tuple[str, ...], Out(None, "threads of nearly the same diameter and pitch")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def _window(thread: Thread, part: str) -> tuple[float, float, float]:
    """The basic diameter that is measured, and how far below and above it a real part may lie, mm."""
    if part == "bolt":
        return thread.major, 0.05 + 0.27 * thread.pitch, 0.06
    return thread.major - form_of(thread).to_minor * thread.pitch, 0.06, 0.05 + 0.27 * thread.pitch


@formula(
    text="threads of the tables whose pitch is within the stated share and whose diameter is within the tolerance of real parts",
    source=("iso-261", "asme-b1-1", "bs-84", "bs-811", "bs-93", "iso-228", "practice"),
    valid="threads of the shipped tables; measure the bolt over the crests, or the bore of the hole with the thread's crests",
    not_for="taper threads, stretched bolts, and anything whose pitch was not held against a gauge or counted over an inch",
)
def identify(
    diameter: Annotated[float, In("mm", "measured outside diameter of the bolt, or bore of the hole")],
    pitch: Annotated[float | None, In("mm", "measured pitch")] = None,
    tpi: Annotated[float | None, In("tpi", "or threads counted to the inch")] = None,
    part: Annotated[str, In(None, "what was measured", ("bolt", "hole"))] = "bolt",
    pitch_error: Annotated[float, In("%", "how far the measured pitch may be off")] = 2.0,
) -> Identified:
    """What thread is this?

    Diameter alone never settles it. Pitch gauges of both flank angles do: a 55 degree leaf rocks or shows light in a
    60 degree thread.
    """
    positive(diameter=diameter)
    between("pitch_error", pitch_error, 0.1, 10, "%")
    if tpi is not None:
        need(pitch is None, "give 'pitch' or 'tpi', not both")
        positive(tpi=tpi)
        pitch = INCH / tpi
    if pitch is not None:
        positive(pitch=pitch)
    fits = []
    for one in standard_threads():
        basic, below, above = _window(one, part)
        if not -below <= diameter - basic <= above:
            continue
        off = None if pitch is None else 100 * (pitch / one.pitch - 1)
        if off is None or abs(off) <= pitch_error:
            fits.append((0.0 if off is None else round(abs(off), 1), abs(diameter - basic), one, off, diameter - basic))
    if not fits:
        about = "" if pitch is None else f" and a pitch of {pitch:.3f} mm ({INCH / pitch:.1f} to the inch)"
        raise FormulaError(
            f"no thread of the tables has {diameter:.3f} mm{about}; measure again, over the crests, at an unworn place"
        )
    fits.sort(key=lambda fit: fit[:2])
    _, _, best, off, away = fits[0]
    equal = [fit[2].text for fit in fits if fit[:2] == fits[0][:2]]
    return Identified(
        " or ".join(equal),
        tuple(fit[2].text for fit in fits),
        off,
        away,
        tuple(_against(best, other) for other in _others(best)),
        _warn(pitch, [fit[2] for fit in fits]),
    )


def _warn(pitch: float | None, fits: Sequence[Thread]) -> tuple[str, ...]:
    cautions = []
    if pitch is None:
        cautions.append("the diameter alone does not settle it: measure the pitch")
    elif len(fits) > 1:
        cautions.append(
            "more than one thread fits: hold a pitch gauge of each flank angle against it, and count over a full inch"
        )
    if len({one.angle for one in fits}) > 1:
        cautions.append(
            "60 and 55 degree threads are among them: they start into one another and then bear on a line only"
        )
    return tuple(cautions)


def _others(thread: Thread) -> list[Thread]:
    near = [
        one
        for one in standard_threads()
        if one.text != thread.text
        and abs(one.major - thread.major) <= _NEAR_DIAMETER
        and abs(one.pitch / thread.pitch - 1) <= _NEAR_PITCH
    ]
    return sorted(near, key=lambda one: (abs(one.major - thread.major) > 0.01, abs(one.pitch - thread.pitch)))


def _against(thread: Thread, other: Thread) -> str:
    """One line on how another thread differs: what to look for."""
    away = other.major - thread.major
    words = ["same diameter" if abs(away) < 0.005 else f"{abs(away):.2f} mm {'larger' if away > 0 else 'smaller'}"]
    off = other.pitch / thread.pitch - 1
    if abs(off) < 1e-6:
        words.append("same pitch")
    else:
        turns = 0.25 * thread.pitch / abs(other.pitch - thread.pitch)
        words.append(
            f"pitch {abs(off):.1%} {'coarser' if off > 0 else 'finer'}, a quarter pitch out of step after {turns:.1f} turns"
        )
    if thread.angle != other.angle:
        words.append(f"flanks {other.angle:g} against {thread.angle:g} degrees")
    return f"{other.text}: {', '.join(words)}"


@formula(
    text="threads within 0.4 mm of the diameter and 10 % of the pitch",
    source=("iso-261", "asme-b1-1", "bs-84", "bs-811", "bs-93", "iso-228", "practice"),
    valid="threads of the shipped tables",
)
def look_alikes(
    thread: Annotated[Thread, In(None, "thread, such as '1/2-13 UNC'")],
) -> LookAlikes:
    """Which threads may be taken for this one, and how they differ."""
    others = _others(thread)
    cautions = (
        ("a bolt that starts by hand and then binds is the wrong thread: back it out, never drive it on",)
        if others
        else ()
    )
    return LookAlikes(tuple(one.text for one in others), tuple(_against(thread, one) for one in others), cautions)
