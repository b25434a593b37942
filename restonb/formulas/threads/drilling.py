"""Tap drills: the standard's own, one for a wanted percentage, and what a drill at hand would give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError, QuantityError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import rows
from restonb.formulas.checks import between, need
from restonb.formulas.threads._form import form_of
from restonb.quantity import DRILL_SETS, Drill, Thread, read_drill, standard_drills

__all__ = ["PercentOfThread", "TapDrill", "drill_for_percent", "tap_drill", "thread_percent"]

CONVENTIONS = ("chart", "basic")
_TOO_FULL, _TOO_THIN = 85.0, 55.0
_CONVENTION = "'chart': 100 % is the depth of the bolt's thread, as drill charts count; 'basic': 100 % is D - D1"


@dataclass(frozen=True, slots=True)
class PercentOfThread:
    """How full the thread gets, by both conventions."""

    chart: Annotated[
        float, Out("%", "of the depth of a sharp bolt thread (1.299 P at 60 degrees), as drill charts count")
    ]
    basic: Annotated[float, Out("%", "of the basic thread height of the hole, D - D1 (1.0825 P at 60 degrees)")]
    drill: Annotated[float, Out("mm", "diameter of the drill")]
    cautions: tuple[str, ...] = ()


def _drill(text: str) -> Drill:
    try:
        return read_drill(text)
    except QuantityError as error:
        raise FormulaError(f"'drill': {error}") from None


def _full(thread: Thread, convention: str) -> float:
    """What 100 % takes from the diameter, mm."""
    form = form_of(thread)
    return (2 * form.to_pitch if convention == "chart" else form.to_minor) * thread.pitch


def _share(thread: Thread, diameter: float, convention: str) -> float:
    return 100 * (thread.major - diameter) / _full(thread, convention)


def _cautions(thread: Thread, diameter: float) -> tuple[str, ...]:
    chart, minor = _share(thread, diameter, "chart"), thread.major - _full(thread, "basic")
    if diameter < minor - 0.02 * thread.pitch:
        return (f"smaller than the minor diameter of the thread ({minor:.2f} mm): the tap binds and breaks",)
    if chart > _TOO_FULL:
        return (f"{chart:.0f} % is more than a hand tap likes: expect it to bind in anything tough",)
    if chart < _TOO_THIN:
        return (f"only {chart:.0f} % of thread: it may strip before the bolt breaks, check the needed engagement",)
    return ()


@formula(
    text="chart: 100 (D - drill) / (2 x thread depth of the bolt); basic: 100 (D - drill) / (D - D1); D = nominal diameter, D1 = basic minor diameter of the hole",
    source=("machinery: tap drill charts", "iso-261: ISO 724", "bs-84", "geometry"),
    valid="drills between the root and the major diameter",
    not_for="thread forming taps, which displace the metal and need a larger hole",
)
def thread_percent(
    thread: Annotated[Thread, In(None, "thread, such as '1/4-20 UNC'")],
    drill: Annotated[str, In(None, "drill, such as '#7', 'F', '13/64 in' or '6.8 mm'")],
) -> PercentOfThread:
    """How full a thread gets in a hole of this drill.

    The two conventions differ by a fifth at 60 degrees: say which one a figure follows. A drill cuts a little over size.
    """
    hole = _drill(drill)
    need(
        hole.diameter < thread.major,
        f"a {hole.label} drill is as large as the thread ({thread.major:g} mm); give a smaller one",
    )
    chart, basic = (_share(thread, hole.diameter, convention) for convention in CONVENTIONS)
    return PercentOfThread(chart, basic, hole.diameter, _cautions(thread, hole.diameter))


@formula(
    text="drill = D - percent/100 x (2 x thread depth, or D - D1); D = nominal diameter, D1 = basic minor diameter of the hole",
    source=("machinery: tap drill charts", "iso-261: ISO 724", "geometry"),
    valid="30 to 100 %",
    not_for="thread forming taps",
)
def drill_for_percent(
    thread: Annotated[Thread, In(None, "thread, such as 'M8'")],
    percent: Annotated[float, In("%", "wanted share of the full thread")] = 75.0,
    convention: Annotated[str, In(None, _CONVENTION, CONVENTIONS)] = "chart",
) -> Annotated[float, Out("mm", "diameter of the hole before tapping")]:
    """Which hole gives a wanted percentage of thread."""
    between("percent", percent, 30, 100, "%")
    return thread.major - percent / 100 * _full(thread, convention)


@dataclass(frozen=True, slots=True)
class TapDrill:
    """The drill to take, and its neighbours in the box."""

    drill: Annotated[str, Out(None, "drill to take, of the sets at hand")]
    diameter: Annotated[float, Out("mm", "its diameter")]
    percent: Annotated[float, Out("%", "thread that it gives, as drill charts count")]
    wanted: Annotated[float, Out("mm", "diameter that would give the wanted percentage")]
    listed: Annotated[str | None, Out(None, "drill that the standard or the usual table lists")]
    neighbours: Annotated[tuple[str, ...], Out(None, "nearest drills of the sets")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="of the drills at hand, the one nearest to the diameter of the wanted percentage that the tap can follow",
    source=("iso-2306", "asme-b94-11", "machinery: tap drill charts", "practice"),
    valid="cutting taps; number, letter, fraction (1/64 in) and metric (0.1 mm) drills",
    not_for="thread forming taps, and holes for wire thread inserts (take insert_hole)",
)
def tap_drill(
    thread: Annotated[Thread, In(None, "thread, such as '1/4-20 UNC'")],
    percent: Annotated[float, In("%", "wanted share of the full thread")] = 75.0,
    sets: Annotated[Sequence[str], In(None, "drill sets at hand", DRILL_SETS)] = DRILL_SETS,
    convention: Annotated[str, In(None, _CONVENTION, CONVENTIONS)] = "chart",
) -> TapDrill:
    """Which drill to take before tapping, of the sets at hand."""
    between("percent", percent, 30, 100, "%")
    wanted = thread.major - percent / 100 * _full(thread, convention)
    box = [drill for name in sets for drill in standard_drills(name)]
    usable = [d for d in box if not _cautions(thread, d.diameter)]
    if not usable:
        raise FormulaError(
            f"no drill of {', '.join(sets)} suits {thread.text}: one near {wanted:.2f} mm is wanted; name another set"
        )
    usable.sort(key=lambda drill: abs(drill.diameter - wanted))
    best = usable[0]
    listed = next((row for row in rows(__package__, "tap_drills.csv") if row["thread"] == thread.text), None)
    notes = [f"the usual table gives {listed['drill']} ({listed['source']})"] if listed else []
    notes.append("tough steel and deep holes: 60 to 65 %; soft castings and sheet: 75 % (common practice)")
    return TapDrill(
        best.label,
        best.diameter,
        _share(thread, best.diameter, "chart"),
        wanted,
        listed["drill"] if listed else None,
        tuple(f"{d.label} ({_share(thread, d.diameter, 'chart'):.0f} %)" for d in usable[:4]),
        tuple(notes),
        () if thread.major >= 3 else ("thin drills and taps break: ease the pressure and clear the chips often",),
    )
