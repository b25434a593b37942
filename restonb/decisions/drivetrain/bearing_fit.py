"""A bearing in its housing: does it fit cold and hot, how is it put in, is it home, does it turn."""

from __future__ import annotations

from typing import Any, NamedTuple

from restonb.decisions._words import undone
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, to_do
from restonb.measure import Verdicts
from restonb.quantity import read

__all__ = ["CLOSING", "BearingFit", "largest_clearance", "next_steps", "tightest"]

CLOSING = (
    "The bearing fits its seats, it is home, and it turns freely. Turn it by hand once more when the cover is tight."
)


class BearingFit(NamedTuple):
    """What is known of the fit; answers of formulas are false while they cannot be worked out."""

    housing: Verdicts
    oval: Verdicts
    """How much the diameters of the housing differ round it."""
    ring: Verdicts
    shaft: Verdicts
    seat: Any
    """Answer of fits.seat_condition."""
    cold: Any
    """Answer of fits.interference for the means: at 20 degC, - is clearance."""
    hot: Any
    """Answer of fits.when_running for it."""
    running: str
    """Running temperature as typed."""
    held_by: str
    """What else holds the ring in a warm case; '' where nothing is stated."""
    assembly: Any
    """Answer of fits.assembly_temperature for the tightest place."""
    seated: Verdicts
    turning: Verdicts


def largest_clearance(housing: tuple[float, float], ring: tuple[float, float]) -> float:
    """The loosest fit that both limits allow, in mm; - where even that is an interference."""
    return housing[1] - ring[0]


def tightest(seat: Any) -> float:
    """The interference at the tightest place in mm, which is what the heat has to open; - where even that is loose."""
    return -float(seat.least)


def next_steps(f: BearingFit) -> list[Step]:
    """The decision: the fit first, then the heat, then the bearing home and turning."""
    sizes = [*_housing(f), *_oval(f.oval), *_ring(f.ring)]
    if any(step.state in ("to do", "stop") for step in sizes):
        return sizes
    shaft = _shaft(f.shaft)
    fit = [*sizes, *_cold(f), *_hot(f), *shaft]
    if f.shaft.word == "outside":
        return fit
    if undone(f.seated):
        fit.append(_put_in(f.assembly))
    return [*fit, *_home(f)]


def _housing(f: BearingFit) -> list[Step]:
    loose = " The fit is loose by up to {loosest}." if f.seat and f.seat.most > 0 else ""
    return judged(
        f.housing, "housing", "the housing",
        measure="Measure the housing, clean and cold (still to do: {at}). Heat nothing before that.",
        inside="The housing is inside its limits at every place.",
        above="The housing is too wide at {at}." + loose + " Punch marks, knurling and shims only hold for a while: have it bored "
        "out true to its register and sleeved, or follow the maker's manual; then measure it again before the bearing goes in.",
        below="The housing is too tight at {at}: look for burrs and punch marks before anything is cut. A pinched bearing runs "
        "hot.",
        loosest=Amount(f.seat.most, "mm") if f.seat else "",
    )  # fmt: skip


def _oval(oval: Verdicts) -> list[Step]:
    return judged(
        oval, "oval", "how oval the housing is",
        measure="Measure the housing along more than one axis: an oval seat can have a mean that fits.",
        inside="The housing is round enough.",
        outside="The housing is oval, whatever its mean diameter: it pinches the ring one way and lets it move the other. Have it "
        "bored out true and sleeved.",
    )  # fmt: skip


def _ring(ring: Verdicts) -> list[Step]:
    return judged(
        ring, "ring", "the outside diameter of the bearing",
        measure="Measure the outside diameter of the bearing, clean and cold (still to do: {at}).",
        inside="The outside diameter of the bearing is inside its limits.",
        outside="The outside diameter of the bearing is off size at {at}: measure it again, and if it reads the same send the bearing back. "
        "Do not make the housing fit it.",
    )  # fmt: skip


def _cold(f: BearingFit) -> list[Step]:
    if not f.cold or not f.seat:
        return [_open("fit.cold", "How it fits cold is not known: {why}.", f.seat if f.cold else f.cold)]
    tight, loose = tightest(f.seat), -float(f.seat.most)
    if loose >= 0:
        says = "At {room} it is tight all round, with {loosest} of interference at the loosest place and {tightest} at the tightest."
    elif tight <= 0:
        says = "At {room} it is loose all round, with {loosest} of clearance at the loosest place and {tightest} at the tightest."
    else:
        says = "At {room} it is tight at one place, with {tightest} of interference, and loose at another, with {loosest} of clearance."
    rows = (*f.housing, *f.ring)
    fact = settled if all(row.word == "inside" for row in rows) else not_known
    values: dict[str, Any] = {"tightest": _size(tight, f.cold), "loosest": _size(loose, f.cold)}
    return [fact("fit.cold", says, rows, room=Amount(20, "degC"), **values)]


def _hot(f: BearingFit) -> list[Step]:
    """At the loosest place: the ring turns there first."""
    if not f.hot or not f.seat:
        return [_open("fit.hot", "How it fits when it runs is not known: {why}.", f.hot if f.seat else f.seat)]
    left = float(f.hot) - float(f.cold) - float(f.seat.most)
    rows, running = (*f.housing, *f.ring), read(f.running, "degC")
    if left > 2 * (_u(f.cold) or 0.0):
        says = "At {running} there is still {left} of interference at the loosest place: the ring stays put."
        return [settled("fit.hot", says, rows, running=running, left=_size(left, f.cold))]
    grown = float(f.cold) - float(f.hot)
    why = "the case has grown {grown} more than the ring" if grown > 0 else "the fit is no tighter than cold"
    opens = f"At {{running}} {why}, which leaves {{gap}} of clearance at the loosest place: left to itself, the ring can creep there."
    if left > 0:
        opens = f"At {{running}} {why}, and no interference is left that could be relied on: left to itself, the ring can creep there."
    values: dict[str, Any] = {"running": running, "grown": Amount(abs(grown), "mm"), "gap": _size(left, f.cold)}
    if not f.held_by:
        says = (
            " Make sure that what the maker intended holds it (circlip, retainer plate, cover, or a retaining compound that is "
            "allowed for it), and write it into build.toml as held_by."
        )
        return [to_do("fit.hot.loose", opens + says, rows, **values)]
    says = " {Held_by} holds it there. Mark ring and case with a line, and look at the line when the case is next open."
    return [settled("fit.hot", opens + says, rows, held_by=f.held_by, **values)]


def _shaft(shaft: Verdicts) -> list[Step]:
    return judged(
        shaft, "shaft", "the shaft's seat",
        measure="Measure the shaft's seat too (still to do: {at}): a ring that is loose on the shaft turns there instead.",
        inside="The shaft's seat is inside its limits.",
        below="Do not fit yet: the shaft's seat is too small at {at}, and the ring would turn on it. Have it built up and ground, or "
        "replace the shaft.",
        above="Do not fit yet: the shaft's seat is too large at {at}. Wear only makes a seat smaller, so take off burrs and old "
        "compound and measure again, cold. A ring that is forced on loses its inner clearance and runs hot: if the seat really is "
        "too large, have it ground to size.",
    )  # fmt: skip


def _put_in(a: Any) -> Step:
    if not a:
        return _open("put_in", "How warm the case must be is not known: {why}.", a)
    values: dict[str, Any] = {
        "oven": Amount(a.oven, "degC"),
        "heat": Amount(a.heat_to, "degC"),
        "shrink": Amount(a.shrink, "mm"),
    }
    push = " Push by the outer ring, hold it home until the case grips, and never hammer on the inner ring."
    if not a.feasible:
        says = (
            "Heat alone does not do it: the oven would have to be at {oven}, hotter than case and bearing may take. Cool the "
            "bearing as well, or have it pressed in by a machine shop."
        )
        return to_do("put_in.too_hot", says, **values)
    if a.rise <= 0 and a.shrink > 0:
        says = "The case stays cold: the cooled bearing is {shrink} smaller and slides in. Have everything ready, since it warms up in seconds."
        return to_do("put_in.cooled", says + push, **values)
    if a.rise <= 0:
        return to_do("put_in.cold", "It goes in cold, square and by hand, pushed by its outer ring only.", **values)
    cold = " Cool the bearing, which makes it {shrink} smaller." if a.shrink else ""
    says = (
        "Set the oven to {oven}: the case cools on the way, and must still be at {heat} when the bearing goes in."
        + cold
    )
    return to_do("put_in.heated", says + " Then it drops in without force." + push, **values)


def _home(f: BearingFit) -> list[Step]:
    home = judged(
        f.seated, "seated", "the gap behind the ring",
        measure="Once it is cold, try the thinnest blade between ring and shoulder (still to do: {at}).",
        inside="The bearing is home.",
        outside="The bearing is not home at {at}: heat the case again and seat it. Do not pull it in with the cover's screws.",
    )  # fmt: skip
    if f.seated.word != "inside":
        return home
    return [
        *home,
        *judged(
            f.turning, "turning", "what it takes to turn the shaft",
            measure="Measure what it takes to turn the shaft, before the bearing is fitted and after.",
            inside="It turns as freely as before it was fitted.",
            outside="What it takes to turn the shaft has changed too much. If it turns harder than before, the bearing is pinched or stands "
            "askew: find out which before the case is closed. A bearing with more inner clearance is a matter for the maker's manual.",
        ),
    ]  # fmt: skip


def _open(finding: str, says: str, answer: Any) -> Step:
    return not_known(f"{finding}.unknown", says, why=list(getattr(answer, "missing", ())) or "something is missing")


def _size(value: float, like: Any) -> Amount:
    """An amount without its sign: the sentence says whether it is interference or clearance."""
    return Amount(abs(value), "mm", _u(like))


def _u(answer: Any) -> float | None:
    return getattr(answer, "u", None)
