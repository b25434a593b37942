"""A bearing in its housing: does it fit cold and hot, how is it put in, is it home, does it turn."""

from __future__ import annotations

from typing import Any, NamedTuple

from restonb.decisions._words import at_places, listed, undone, unjudged
from restonb.measure import Verdicts

__all__ = ["BearingFit", "largest_clearance", "next_steps"]


class BearingFit(NamedTuple):
    """What is known of the fit; answers of formulas are false while they cannot be worked out."""

    housing: Verdicts
    ring: Verdicts
    shaft: Verdicts
    seat: Any
    """Answer of fits.seat_condition."""
    cold: Any
    """Answer of fits.interference: at 20 degC, - is clearance."""
    hot: Any
    """Answer of fits.when_running."""
    running: str
    """Running temperature as typed."""
    assembly: Any
    """Answer of fits.assembly_temperature."""
    seated: Verdicts
    turning: Verdicts


def largest_clearance(housing: tuple[float, float], ring: tuple[float, float]) -> float:
    """The loosest fit that both limits allow, in mm; - where even that is an interference."""
    return housing[1] - ring[0]


def next_steps(f: BearingFit) -> list[str]:
    """The decision: the fit first, then the heat, then the bearing home and turning."""
    todo = [name for name, verdicts in (("housing", f.housing), ("bearing's outside", f.ring)) if undone(verdicts)]
    if todo:
        return [
            f"Measure the {listed(todo)} first, clean and at 20 degC, at every place. Nothing is heated before that."
        ]
    if f.ring.word == "outside":
        return [
            "The ring itself is outside its limits: send the bearing back, or measure it again; do not make the housing fit it."
        ]
    if f.housing.word == "outside":
        return [_housing(f)]
    said = [_fit(f), *_hot(f), *_shaft(f.shaft)]
    if "Do not fit" in " ".join(said):
        return said
    if undone(f.seated) and f.assembly:
        said.append(_put_in(f.assembly))
    return [*said, *_home(f)]


def _housing(f: BearingFit) -> str:
    at = at_places(f.housing, "outside")
    if any(
        r.verdict == "outside" and r.upper is not None and r.value is not None and r.value > r.upper for r in f.housing
    ):
        by = f" The fit is loose by up to {f.seat.most:.3f} mm." if f.seat and f.seat.most > 0 else ""
        return (
            f"The housing is too wide at {at}.{by} Punch marks, knurling or shims only hold for a while: have it bored out true to its register and "
            "sleeved, or ask the maker's manual for another remedy; then measure it again before the bearing goes in."
        )
    return f"The housing is too tight at {at}: look for burrs and punch marks before any cutting; a bearing that is pinched runs hot."


def _fit(f: BearingFit) -> str:
    if "too close to call" in (f.housing.word, f.ring.word):
        told = "The housing is inside as far as this gauge can tell; the remark in the table says what would settle it."
    elif bare := unjudged(f.housing, "the housing") or unjudged(f.ring, "the ring"):
        told = bare
    else:
        told = "Housing and ring are inside their limits."
    if not f.cold:
        return told
    cold = float(f.cold)
    kind = "interference" if cold >= 0 else "clearance"
    return f"{told} At 20 degC there is {abs(cold):.3f} mm of {kind}."


def _hot(f: BearingFit) -> list[str]:
    if not f.hot:
        return ["Write materials and running temperature into build.toml: an alloy case grows away from its bearing."]
    hot = float(f.hot)
    if hot > 0:
        return [f"At {f.running} there is still {hot:.3f} mm of interference: the ring stays put."]
    return [
        f"At {f.running} the case has grown {float(f.cold) - hot:.3f} mm away and leaves {-hot:.3f} mm of clearance: the ring can creep. Make sure that "
        "what the maker intended holds it (circlip, retainer plate, cover, or a retaining compound that is allowed for it), mark ring and "
        "case with a line, and look at the line when it is next open."
    ]


def _shaft(shaft: Verdicts) -> list[str]:
    if undone(shaft):
        return ["Measure the shaft's seat too: a ring that is loose on the shaft turns there instead."]
    if told := unjudged(shaft, "the shaft's seat"):
        return [told]
    if shaft.word == "outside":
        return [
            f"Do not fit yet: the shaft's seat is outside its limits at {at_places(shaft, 'outside')}; it is built up and ground, or replaced."
        ]
    if shaft.word == "too close to call":
        return [
            f"The shaft's seat is too close to call at {at_places(shaft, 'too close to call')}: the remark in the table says which micrometer would settle it."
        ]
    return []


def _put_in(a: Any) -> str:
    if not a.feasible:
        return f"Heat alone does not do it: {a.heat_to:.0f} degC would be needed. Cool the bearing as well, or have it pressed by a machine shop."
    if a.rise <= 0:
        return "It goes in without heat: by hand, square, and pushed by its outer ring only."
    cold = f" and cool the bearing, which gives {a.shrink:.3f} mm" if a.shrink else ""
    return (
        f"Heat the case evenly to at least {a.heat_to:.0f} degC (oven, thermometer){cold}: the bearing then drops in without force. Push by the outer ring, hold it home "
        "until the case grips, and never hammer on the inner ring."
    )


def _home(f: BearingFit) -> list[str]:
    if undone(f.seated):
        return [
            "Once it is cold: try the thinnest blade between ring and shoulder, and measure what it takes to turn it."
        ]
    if told := unjudged(f.seated, "the gap behind the ring"):
        return [told]
    if f.seated.word == "outside":
        return [
            f"The bearing is not home at {at_places(f.seated, 'outside')}: heat again and seat it; do not pull it in with the cover's screws."
        ]
    if undone(f.turning):
        return ["The bearing is home. Measure what it takes to turn it, as it was before it was fitted and now."]
    if told := unjudged(f.turning, "what it takes to turn it"):
        return [told]
    if f.turning.word == "outside":
        return [
            "It turns harder than before: it is pinched or stands askew. Find out before the case is closed; a bearing with larger inner clearance is a matter for the maker's manual."
        ]
    if "too close to call" in (f.seated.word, f.turning.word):
        return [
            "Whether it is home, or turns as before, is too close to call; the remark in the table says what would settle it."
        ]
    return ["The bearing is home and turns as freely as before it was fitted. Turn it again when the cover is tight."]
