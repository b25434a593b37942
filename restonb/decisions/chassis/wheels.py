"""Wheels: play, spokes, run-out, line, tyres and nuts, and what they say to do next.

Signs, as everywhere in this project: right is +, seen by a rider on the machine; an angle is + when the front edge of a wheel
points to the right. A gap of the left string larger than that of the right one means that the front wheel stands to the right.
A rear wheel that points to the left (its spindle further back on the left) carries its strings to the left, so that a straight
front wheel seems to stand to the right: the rear wheel is set straight first.
A dial reads + where the rim comes towards it: at the side towards the dial, at the edge away from the axle.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from restonb.decisions.brakes.bolts import torque_steps
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, to_do
from restonb.measure import Verdict, Verdicts
from restonb.quantity import Quantity, convert

__all__ = ["CLOSING", "Rim", "highest", "lowest", "next_steps"]

CLOSING = (
    "The wheels turn without play, run true on tight spokes and stand in line; tyres and axle nuts are good. Look at spokes and nuts again "
    "after the first short ride, and again after about 100 km."
)
REWORKED = ("after rework", "back from outside work")
"""Occasions at which a rim was worked on before it was read."""
AGAIN = "Then measure the rim again, sideways and up and down, and ring every spoke: truing it one way moves it the other way too."
ROUND = "Turn each a quarter of a turn at most in one round, less towards the ends of the stretch, always in pairs"


class Rim(NamedTuple):
    """The run-out of one rim in one direction."""

    wheel: str
    """front or rear"""
    way: str
    """'side' or 'hop': sideways, or up and down."""
    verdicts: Verdicts
    dial: Mapping[str, Quantity | None]
    """Place -> reading of the dial, None where nothing is measured."""
    split: Any
    """Answer of brakes.run_out, false while it cannot be worked out."""

    @property
    def direction(self) -> str:
        return "sideways" if self.way == "side" else "up and down"

    @property
    def name(self) -> str:
        return f"{self.wheel} rim {self.direction}"

    @property
    def finding(self) -> str:
        return f"{self.wheel}_{self.way}"


class Dial(NamedTuple):
    """What the dial shows round one turn: its places in order, and the readings in mm."""

    places: tuple[str, ...]
    values: tuple[float, ...]


def highest(values: Mapping[str, Quantity | None]) -> float | NotYet:
    """The highest reading of one turn, in mm."""
    known = _dial(values)
    return max(known.values) if known else NotYet(("every place of one turn",))


def lowest(values: Mapping[str, Quantity | None]) -> float | NotYet:
    """The lowest reading of one turn, in mm."""
    known = _dial(values)
    return min(known.values) if known else NotYet(("every place of one turn",))


def next_steps(
    play: Verdicts,
    tension: Verdicts,
    runouts: Sequence[Rim],
    line: Verdicts,
    tread: Verdicts,
    age: Verdicts,
    nuts: Verdicts,
) -> list[Step]:
    """The decision: bearings first, since a wheel with play measures nothing.

    `tension`: loose or dull spokes of each wheel; `line`: left string's gap less the right one's; `age`: that of each tyre.
    """
    found = _play(play)
    if any(step.state == "stop" or step.finding in ("play.above", "play.below") for step in found):
        says = "Do not true a wheel on such bearings: put them right first, then measure the rims."
        return [*found, to_do("play.first", says, _with(play, "outside"))]
    found += _tension(tension)
    for wheel in dict.fromkeys(rim.wheel for rim in runouts):
        found += _wheel(wheel, [rim for rim in runouts if rim.wheel == wheel], tension)
    return [*found, *_line(line), *_tyres(tread, age), *_nuts(nuts)]


# -- bearings and spokes


def _play(play: Verdicts) -> list[Step]:
    return judged(
        play, "play", "the play of the bearings",
        measure="Rock each wheel across its axle and measure the play at the rim (still to do: {at}). Nothing else is worth "
        "measuring before that.",
        inside="The bearings have no play to speak of.",
        above="Too much play at the {at} wheel: the bearings are worn, or the axle is not tight. Tighten the axle first; any play left "
        "is in the bearings. Fit new ones.",
        below="Less play at the {at} wheel than it must have: the bearings are set too tight, and run hot. Set them again as the manual "
        "says, or look for a spacer that is too short between them.",
        close="Whether the bearings have play is too close to call at the {at} wheel: rock it again with a finer dial.",
    )  # fmt: skip


def _tension(tension: Verdicts) -> list[Step]:
    return judged(
        tension, "tension", "the tension of the spokes",
        measure="Ring every spoke of each wheel with a light tap, and count those that are loose or sound dull (still to do: {at}). "
        "A rim can run true on loose spokes, but it will not stay true.",
        inside="No spoke is loose or sounds dull.",
        above="Spokes are loose or sound dull at the {at} wheel. Look at elbow, nipple and rim there first: a cracked spoke sounds dull too. "
        "Bring the sound ones up to their neighbours, a quarter of a turn at most in one round, and measure the rim again. If they are loose all round, or came loose on the "
        "road, the wheel goes to somebody who builds wheels.",
        no_limit="Write 0 as the upper limit of loose spokes into the spec book: without it they cannot be judged.",
    )  # fmt: skip


# -- rims


def _wheel(wheel: str, runouts: Sequence[Rim], tension: Verdicts) -> list[Step]:
    """Both directions of one rim, and whether it may be left alone: only if it is true, and its spokes are tight."""
    found = [step for rim in runouts for step in _rim(rim)]
    found += _measured_before(wheel, runouts, tension)
    if any(step.state != "settled" for step in found):
        return found
    rows = [*(row for rim in runouts for row in rim.verdicts), *(row for row in tension if row.position == wheel)]
    rung = any(row.position == wheel for row in tension) or NotYet((f"the tension of the spokes of the {wheel} wheel",))
    says = "The {wheel} rim is true enough. Leave its spokes alone."
    return [*found, settled(f"{wheel}_rim", says, rows, [rung], wheel=wheel)]


def _rim(rim: Rim) -> list[Step]:
    """What is wrong with one direction of a rim, and what to do; nothing where it is true."""
    cause, do, values = _cause(rim)
    steps = judged(
        rim.verdicts, rim.finding, f"the run-out of the {rim.name}",
        measure="Measure the {rim} at eight places of one turn.",
        inside="The {rim} is true enough.",
        above="The {wheel} rim runs out too far {way}" + do,
        close="The {rim} is too close to call: read it again with care before you turn a spoke.",
        rim=rim.name, wheel=rim.wheel, way=rim.direction, **values,
    )  # fmt: skip
    steps = [
        step._replace(finding=f"{rim.finding}.{cause}") if step.finding.endswith(".above") else step for step in steps
    ]
    if any(step.state != "settled" for step in steps):
        return steps
    if not rim.split:
        says = "The {wheel} rim cannot be called true {way}: {why}. Write 'clock 8' into its row of the spec book, and read it again."
        return [not_known(f"{rim.finding}.too_few", says, rim.verdicts, wheel=rim.wheel, way=rim.direction, **values)]
    if any(row.worn_in for row in rim.verdicts):
        says = (
            "The {wheel} rim may stay as it is {way}, inside its wear limit, though it is not as true as one just trued"
            + do
        )
        return [settled(f"{rim.finding}.worn", says, rim.verdicts, wheel=rim.wheel, way=rim.direction, **values)]
    return []


def _cause(rim: Rim) -> tuple[str, str, dict[str, Any]]:
    """What makes the run-out, what to do about it, and the values of that sentence."""
    dial, split = _dial(rim.dial), rim.split
    if not split or dial is None:
        missing = split.missing if isinstance(split, NotYet) else ("its places are not known",)
        why = "; ".join(one.removeprefix("brakes.run_out: ") for one in missing)
        return "unsplit", ". Whether it sits askew or is bent is not known: {why}.", {"why": why}
    total = {"total": Amount(split.total, "mm")}
    if 2 * split.eccentricity > split.form:
        places = {"high": dial.places[_most(dial.values)], "low": dial.places[_most([-v for v in dial.values])]}
        return "askew", " ({total}), mostly once per turn: " + _once(rim.way), total | places
    if _two_waves(split) and len(dial.values) % 2 == 0:
        pairs = [a + b for a, b in zip(dial.values, _half_on(dial.values), strict=True)]
        high, low = _most(pairs), _most([-v for v in pairs])
        half = len(dial.values) // 2
        ends = {
            "high": [dial.places[high], dial.places[(high + half) % len(dial.places)]],
            "low": [dial.places[low], dial.places[(low + half) % len(dial.places)]],
        }
        return "two_waves", " ({total}), in two waves round one turn: " + _twice(rim.way), total | ends
    says = (
        " ({total}), mostly at one place, near {place}: look there for a dent, a crack or a loose spoke first. A bent rim is "
        "not pulled straight with spokes."
    )
    return "dent", says, total | {"place": dial.places[_most(_without_once(dial, split), either=True)]}


def _once(way: str) -> str:
    if way == "hop":
        return (
            "tighten all spokes round {high}, where it stands out, and slacken those round {low}, where it dips in, by the same. "
            f"{ROUND}. {AGAIN}"
        )
    return (
        "round {high} slacken the spokes on the dial's side and tighten those on the other side; round {low} the other way round. "
        f"{ROUND}. {AGAIN}"
    )


def _twice(way: str) -> str:
    if way == "hop":
        return (
            "the rim is oval. Tighten all spokes round {high}, and slacken those round {low}, by the same. "
            f"{ROUND}. If it does not become round, or spokes get loose, it is bent: fit another rim. {AGAIN}"
        )
    return (
        "the rim is twisted. Round {high} slacken the spokes on the dial's side and tighten those on the other side; round {low} the "
        f"other way round. {ROUND}. If spokes get loose before it is true, it is bent: fit another rim. {AGAIN}"
    )


def _two_waves(split: Any) -> bool:
    """Whether taking two waves per turn out leaves less than half of the rim's own form."""
    rest = getattr(split, "rest", None)
    return rest is not None and rest < 0.5 * split.form


def _measured_before(wheel: str, runouts: Sequence[Rim], tension: Verdicts) -> list[Step]:
    """What of a wheel was read before its rim was worked on: truing moves all of it."""
    rows = [*(row for rim in runouts for row in rim.verdicts), *(row for row in tension if row.position == wheel)]
    worked = [row.reading.seq for row in rows if row.reading and row.reading.occasion in REWORKED]
    if not worked:
        return []
    old = [
        row for row in rows if row.reading and row.reading.occasion not in REWORKED and row.reading.seq < min(worked)
    ]
    says = "The {wheel} rim was worked on since {at} was read: measure that again."
    return [to_do(f"{wheel}_rim.again", says, old, wheel=wheel)] if old else []


def _without_once(dial: Dial, split: Any) -> list[float]:
    """The readings without their mean and what goes up and down once per turn."""
    mean, n = sum(dial.values) / len(dial.values), len(dial.values)
    high = math.radians(getattr(split, "high_at", 0.0))
    return [v - mean - split.eccentricity * math.cos(2 * math.pi * i / n - high) for i, v in enumerate(dial.values)]


def _half_on(values: Sequence[float]) -> list[float]:
    half = len(values) // 2
    return [*values[half:], *values[:half]]


def _most(values: Sequence[float], either: bool = False) -> int:
    """Where the largest of them stands; with `either`, the one farthest from zero."""
    return max(range(len(values)), key=lambda i: abs(values[i]) if either else values[i])


def _dial(values: Mapping[str, Quantity | None]) -> Dial | None:
    """The readings of a whole turn; None while one is missing."""
    known = [v.to("mm").value for v in values.values() if v is not None]
    return Dial(tuple(values), tuple(known)) if known and len(known) == len(values) else None


# -- line, tyres, nuts


def _line(line: Verdicts) -> list[Step]:
    made = [row for row in line if row.value is not None and row.characteristic.key == "line"]
    off = float(convert(made[0].value or 0.0, made[0].unit, "mm")) / 2 if made else 0.0
    side, behind = ("right", "left") if off > 0 else ("left", "right")
    says = (
        "The front wheel stands {off} to the {side} of the rear wheel's line. First set the rear wheel straight: measure from the "
        "pivot of the swinging arm to the spindle on both sides. If it is longer on the {behind}, the rear wheel points to the "
        "{behind}: bring the spindle forward on that side until both measure alike, and lay the strings again. If they measure alike and the "
        "front wheel still stands to one side, look at spacers, rim offset, arm and frame. Some machines are built out of line: see the manual."
    )
    return judged(
        line, "line", "the line of the wheels",
        measure="Lay strings along the rear tyre, and measure their gaps at the front rim, left and right.",
        inside="The wheels are in line.",
        outside=says,
        close="Whether the wheels are in line is too close to call: read the gaps again, with the handlebar held straight.",
        off=Amount(abs(off), "mm"), side=side, behind=behind,
    )  # fmt: skip


def _tyres(tread: Verdicts, age: Verdicts) -> list[Step]:
    """Tread and date, in every case: rubber ages without being ridden."""
    steps = judged(
        tread, "tread", "the tread",
        measure="Measure the tread of each tyre at its least place (still to do: {at}).",
        inside="The tyres have tread left.",
        below="The tread is worn past its limit ({at}): fit a new tyre, with a new tube and rim tape.",
        above="The tread reads deeper than new ({at}): measure again, not on the edge of a block.",
        close="The tread is too close to its limit to call ({at}): fit a new tyre.",
        no_limit="Write the least tread that the law of your country allows into the spec book, with its source.",
    )  # fmt: skip
    steps += judged(
        age, "tyre_age", "the age of the tyres",
        measure="Read the date on the wall of each tyre (week and year), and enter it (still to do: {at}). A tyre without a date, or "
        "with three digits, counts as too old.",
        inside="The tyres are young enough.",
        above="Too old, whatever the tread: {at}. Fit a new tyre. Rubber hardens even when nobody rides on it.",
        below="The date on a tyre is later than today ({at}): read it again.",
        no_limit="Write into the spec book the age at which a tyre is replaced: the maker's figure, or common practice.",
    )  # fmt: skip
    left = [step for step in steps if step.state != "settled"]
    says = "The tyres have tread left, and are young enough."
    return left or [settled("tyres", says, (*tread, *age))]


def _nuts(nuts: Verdicts) -> list[Step]:
    return torque_steps(
        nuts, "nuts", "the torque of the axle nuts",
        measure="Tighten the axle nuts to their torque, with a new split pin or self-locking nut where the plan says so, and write it "
        "down (still to do: {at}).",
        inside="The axle nuts are at their torque.",
    )  # fmt: skip


def _with(rows: Verdicts, word: str) -> list[Verdict]:
    return [row for row in rows if row.word == word]
