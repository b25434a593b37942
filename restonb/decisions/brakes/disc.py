"""A brake disc: what its thickness, its run-out and its pads say to do next."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from restonb.bench._values import NotYet
from restonb.decisions._to_do import not_settled, still
from restonb.decisions._words import listed, places, undone, unjudged
from restonb.measure import Verdicts, Wear, wear_rate
from restonb.quantity import Quantity, read

__all__ = ["clock_degrees", "kept_mark", "next_steps", "pad_wear"]


def clock_degrees(positions: Iterable[str]) -> list[float] | NotYet:
    """Degrees clockwise from 12:00 of positions named as on a clock face; NotYet where one is not."""
    found = []
    for position in positions:
        hour, _, minute = position.partition(":")
        if not (hour.isdigit() and minute.isdigit()):
            return NotYet(("positions of the face as on a clock, such as 'clock 8'",))
        found.append((int(hour) % 12 * 60 + int(minute)) / 2)
    return found or NotYet(("dial readings at the disc's face",))


def kept_mark(marked: str | None, wear_limit: Any) -> Any:
    """The minimum that counts: the mark on the disc itself before the one written in the spec book."""
    return marked or wear_limit


def pad_wear(points: list[tuple[float, float]], limit: Quantity, u: float) -> Wear | NotYet:
    """How fast the lining goes, and at which usage it meets its limit; NotYet before readings at three usages.

    `points`: usage and lining in mm; `u`: standard uncertainty of one reading in mm.
    """
    if len({usage for usage, _ in points}) < 3:
        return NotYet(("the lining at three different mileages or more, to see how fast it goes",))
    usage, lining = zip(*points, strict=True)
    return wear_rate(usage, lining, limit.to("mm").value, wears="down", u=u)


def next_steps(
    thickness: Verdicts, spread: Verdicts, runout: Verdicts, split: Any, pads: Verdicts, torque: Verdicts,
    marked: str | None = None, wear_limit: Any = None,
) -> list[str]:  # fmt: skip
    """The decision, the disc first; `split` is the answer of brakes.run_out, false while it cannot be worked out.

    `marked`: the minimum marked on the disc, as typed; `wear_limit`: that of the spec book, as a quantity.
    """
    said = [*_mark(marked, wear_limit), _disc(thickness, marked, wear_limit)]
    if thickness.word == "outside":
        return [line for line in said if line]
    said += [_even(spread), _true(runout, split), _pads(pads), _tight(torque)]
    return [line for line in said if line]


def _mark(marked: str | None, wear_limit: Any) -> list[str]:
    if not marked:
        return [
            "No minimum is marked on the disc, or it is not written down: look for it on the carrier and on the rim."
        ]
    minimum = read(marked, "mm").to("mm").value
    if not wear_limit:
        return [f"The disc is marked {marked}: write it into the spec book as the wear limit of the thickness."]
    if abs(minimum - wear_limit.to("mm").value) > 1e-6:
        return [
            f"The disc is marked {marked}, the spec book says {wear_limit.write()}: the mark on the part goes first. "
            "Correct the spec book, and run this sheet again."
        ]
    return []


def _disc(thickness: Verdicts, marked: str | None, wear_limit: Any) -> str:
    at = listed(places(thickness, "outside"))
    if at:
        return f"The disc is finished at {at}: fit another one. Do not have it skimmed, which makes it thinner still."
    if undone(thickness):
        return f"Measure the thickness at every point{still(thickness)}."
    if thickness.word == "too close to call":
        close = listed(places(thickness, "too close to call"))
        return (
            f"Too close to its limit to call at {close}: treat it as finished unless a better gauge proves otherwise."
        )
    if thickness.word == "no limit":
        return "Without a minimum nothing can be said about the thickness: find the mark or the manual."
    return "The disc is thick enough everywhere."


def _even(spread: Verdicts) -> str:
    if undone(spread):
        return ""
    if spread.word == "outside":
        return (
            "Its thickness varies too much round the disc: the lever will pulse. Another disc, or a specialist's "
            "grinding where the minimum leaves room; cleaning the hub does not help against this."
        )
    if spread.word == "too close to call":
        return "The variation of its thickness is too close to call; the remark in the table says what would settle it."
    return "It is evenly thick: the lever will not pulse from this." if spread.word == "inside" else ""


def _true(runout: Verdicts, split: Any) -> str:
    if undone(runout):
        return "Measure the run-out with the disc bolted to the hub as it will be used."
    if runout.word == "inside":
        return "It runs true enough on its wheel."
    if told := unjudged(runout, "the run-out of the disc"):
        return told
    word = "runs out too far" if runout.word == "outside" else "has a run-out that is too close to call"
    if not split:
        return f"The disc {word}."
    if 2 * split.eccentricity > split.form:
        return (
            f"The disc {word}, mostly once per turn ({2 * split.eccentricity:.2f} mm of it, high at "
            f"{_clock(split.high_at)}): it sits askew. Take it off, clean hub and disc of rust and burrs, look at the "
            "wheel bearings, turn it on its bolts by one hole, and measure again before buying a disc."
        )
    return (
        f"The disc {word}, mostly in its own form ({split.form:.2f} mm is left when the once-per-turn part is taken "
        "out): it is bent or warped. Fit another one; it is not straightened."
    )


def _pads(pads: Verdicts) -> str:
    if pads.word == "outside":
        return f"Fit new pads on both sides ({listed(places(pads, 'outside'))} worn out), and clean the pistons first."
    if undone(pads):
        return f"Measure the pads at their thinnest place{still(pads)}."
    if pads.word == "too close to call":
        return "The pads are too close to their limit to call: fit new ones on both sides."
    return unjudged(pads, "the lining of the pads") or "The pads have lining left."


def _tight(torque: Verdicts) -> str:
    if undone(torque):
        return "Tighten the bolts of disc and calliper to the plan and write each torque down; until then the joint is open."
    if told := unjudged(torque, "the torque of the bolts"):
        return told
    if torque.word == "inside":
        return "The bolts of disc and calliper are at their torque."
    return f"Not at its torque: {listed(not_settled(torque))}."


def _clock(degrees: float) -> str:
    """Nearest quarter of an hour on the clock face: a dial tells no more."""
    minutes = round(degrees * 2 / 15) * 15 % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"
