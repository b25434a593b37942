"""Primary drive: free of strain, true, in line, at the right tension; and what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from restonb.decisions._words import undone
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, settled, to_do, worst_state
from restonb.formulas import belts, chain
from restonb.measure import Verdicts
from restonb.quantity import read

__all__ = [
    "CLOSING",
    "Gap",
    "Primary",
    "allowed",
    "as_gap",
    "front_and_rear",
    "next_steps",
    "parts",
    "tension",
    "with_spacer",
]

CLOSING = "In line, true and free: tighten to the plan, bend the tab washers, record the joint, and turn the drive through by hand."
ENGINE = "engine sprocket"


class Gap(NamedTuple):
    """The offset as a gap that a thicker spacer closes, and the window for it, in mm."""

    gap: float
    least: float
    most: float


class Primary(NamedTuple):
    """What is known of the drive; answers of formulas are false while they cannot be worked out."""

    shift: Verdicts
    """How far tightening the case shifts the shaft."""
    stays: Verdicts
    """What of it stays when the case is opened again."""
    turning: Verdicts
    """How much harder the shaft turns with the case tight."""
    runout: Verdicts
    split: Any
    """Answer of brakes.run_out on the clutch sprocket's face."""
    line: Verdicts
    tilt: Verdicts
    lie: Any
    """Answer of alignment.drive_line."""
    step: str
    """The offset that a true drive would show, with its unit."""
    window: Any
    """Lower and upper limit of the offset in mm; false where the spec book lacks one."""
    change: Any
    """Answer of stackup.bring_in for the spacer."""
    behind: str
    """The sprocket that has the spacer behind it."""
    links: Sequence[str]
    """Names of the links of the stack; empty where no sizes are stated."""
    stack: Any
    """Answer of stackup.chain for the drawn position of the sprockets."""
    offset: Any
    slack: Verdicts
    spread: Verdicts
    """How much the slack changes round one turn."""


def as_gap(offset: float, limits: tuple[float, float], behind: str) -> Gap:
    """The offset of the clutch sprocket (+ behind the engine's) as a gap that a spacer behind that sprocket closes.

    A spacer behind the clutch sprocket brings it forward, and takes from the offset; one behind the engine sprocket adds to it.
    """
    if behind == ENGINE:
        return Gap(-float(offset), -limits[1], -limits[0])
    return Gap(float(offset), *limits)


def allowed(limits: Sequence[float] | NotYet, step: str) -> float | None:
    """The largest offset that the spec book allows to either side of a true drive, in mm; None where it gives none."""
    if isinstance(limits, NotYet):
        return None
    (low, high), true = limits, read(step, "mm").to("mm").value
    return min(true - low, high - true) if low < true < high else None


def front_and_rear(offsets: Sequence[float]) -> tuple[float, float] | NotYet:
    """The offsets at the front and at the rear of the clutch sprocket; NotYet where fewer places are measured."""
    if len(offsets) < 2:
        return NotYet(("the offset of the clutch sprocket at two places, front and rear: one place shows no angle",))
    return offsets[0], offsets[1]


def with_spacer(values: Sequence[float], spacer: float) -> list[float]:
    """The links of the dimension chain, the spacer last."""
    return [*values, float(spacer)]


def parts(
    names: Sequence[str], sizes: Sequence[float], tolerances: Sequence[float], directions: Sequence[float]
) -> list[tuple[str, float, float]]:
    """Name, signed size and tolerance of each link, as the chart of a stack takes them; the spacer is last."""
    return [(n, d * s, t) for n, s, t, d in zip([*names, "spacer"], sizes, tolerances, directions, strict=True)]


def tension(drive: str, slack: Sequence[float], centres: Any, belt: Sequence[str]) -> Any:
    """The formula that tells about the tension of this drive: slack of a chain, or the note of a belt's free span.

    `slack`: total movement in mm at the places of one turn; the tightest counts; `belt`: mass per length, free span and note, each
    with its unit.
    """
    if drive == "chain":
        return chain.slack(min(slack), centres)
    if len(belt) != 3:
        return NotYet(("belt: mass per metre, free span and note, to be written into build.toml",))
    mass, span, note = belt
    return belts.tension_from_note(mass, span, note)


def next_steps(p: Primary) -> list[Step]:
    """The decision in the order in which the work must be done: freedom, truth, line, tension."""
    free = _freedom(p)
    strained = any(v.word == "outside" for v in (p.shift, p.stays, p.turning))
    if strained or all(undone(v) for v in (p.shift, p.stays, p.turning)):
        return free
    line = _line(p)
    steps = [*free, *_truth(p), *line, *_home(p)]
    in_line = worst_state(line) == "settled" or (p.line.word == "inside" and p.tilt.word == "no limit")
    return [*steps, *_slack(p)] if in_line else steps


def _freedom(p: Primary) -> list[Step]:
    rows = Verdicts((*p.shift, *p.stays, *p.turning))
    if all(undone(v) for v in (p.shift, p.stays, p.turning)):
        says = (
            "First prove that nothing is strained: measure the shaft with the case open, tight and open again. The line is measured "
            "after that."
        )
        return [to_do("strain.measure", says, rows)]
    if bad := [row for row in p.stays if row.word == "outside"]:
        says = (
            "The shaft does not come back when the case is opened ({at}): the dial slipped, or something settled afresh or gave way. Find "
            "out which, and take all three rounds again; until then nothing else counts."
        )
        return [to_do("strain.stays", says, bad)]
    if bad := [row for row in p.shift if row.word == "outside"]:
        says = (
            "Tightening the case strains the shaft ({at}): the case bridges two faces that are not in one plane. Do not pull it straight "
            "with its screws; shim or dress the face where it stands off, and measure again. Until it is free, nothing else counts."
        )
        return [to_do("strain.outside", says, bad)]
    if bad := [row for row in p.turning if row.word == "outside"]:
        says = (
            "The shaft does not turn the same with the case open, tight and open again: tightening the case strains it, or something drags. "
            "Look where the case stands off, and at felts and seals, and measure again. Until it is free, nothing else counts."
        )
        return [to_do("strain.turning", says, bad)]
    return [
        *judged(
            Verdicts((*p.shift, *p.stays)), "strain", "the shift of the shaft",
            measure="Measure the shaft with a dial, the case open, tight and open again (still to do: {at}).",
            inside="The shaft stays where it is when the case is tightened, and comes back when it is opened.",
        ),
        *judged(
            p.turning, "turning", "the change of the pull",
            measure="Measure the pull that turns the shaft, the case open, tight and open again (still to do: {at}).",
            inside="The shaft turns as freely with the case tight as with it open.",
        ),
    ]  # fmt: skip


def _truth(p: Primary) -> list[Step]:
    return judged(
        p.runout, "runout", "the run-out of the clutch sprocket",
        measure="Measure the run-out of the clutch sprocket's face: a line that is measured on a wobbling sprocket means nothing.",
        inside="The clutch sprocket runs true.",
        outside=_crooked(p.split),
        needs=[p.split],
    )  # fmt: skip


def _crooked(split: Any) -> str:
    if not split:
        return (
            "The clutch sprocket does not run true. Read its face at eight places, to tell whether the whole sprocket sits askew or "
            "is bent at one place."
        )
    if 2 * split.eccentricity > split.form:
        return "The clutch sprocket wobbles once a turn: look for dirt or a burr behind the hub, a bent shaft, or worn hub bearings."
    return "The clutch sprocket is bent: replace it, or have it trued."


def _line(p: Primary) -> list[Step]:
    if undone(p.line):
        says = "Measure the offset at every place (still to do: {at}), and again with both sprockets turned by half a turn."
        return [to_do("line.measure", says, (row for row in p.line if row.word == "not measured"))]
    tilt = judged(
        p.tilt, "tilt", "the spread of the offsets",
        measure="Measure the offset at every place: their spread tells whether the sprockets are parallel.",
        inside="The sprockets are parallel.",
        outside="The sprockets are not parallel, and no spacer cures that. The gearbox sits askew or tilted on its feet: go back to its "
        "mounting, then measure again.",
    )  # fmt: skip
    if p.tilt.word == "outside":
        return tilt
    if beside := _step_beside(p):
        return beside
    if p.line.word == "outside":
        return [*_spacer(p), *(tilt if worst_state(tilt) != "settled" else [])]
    if p.line.word == "inside" and p.lie and not p.lie.in_line:
        says = (
            "The clutch sprocket points off by {angle}, and {allowed} is usual at most: no spacer cures that. Go back to the mounting of "
            "the gearbox, then measure again."
        )
        angle, most = Amount(abs(p.lie.angle), "deg"), Amount(p.lie.angle_allowed, "deg")
        return [to_do("line.angle", says, p.line, angle=angle, allowed=most)]
    return [*tilt, *judged(
        p.line, "line", "the line of the sprockets",
        measure="Measure the offset at every place.",
        inside="The sprockets are in line.",
        needs=[p.lie],
    )]  # fmt: skip


def _step_beside(p: Primary) -> list[Step]:
    """The limits hold for the offset as it is read: with a step between the faces they must have been moved by it."""
    true = read(p.step, "mm").to("mm").value
    if not p.window or round(p.window[0] - true, 6) <= 0 <= round(p.window[1] - true, 6):
        return []
    says = (
        "A true drive would read {step}, which lies outside the limits of the offset. The limits hold for the offset as it is read: move "
        "both of them by the step in the spec book."
    )
    return [not_known("line.step", says, p.line, step=Amount(true, "mm"))]


def _spacer(p: Primary) -> list[Step]:
    rows = [row for row in p.line if row.word == "outside"]
    out = "Out of line at {at}. "
    if not p.change:
        says = "Which spacer brings it in is not known: {why}."
        return [not_known("line.spacer_unknown", out + says, rows, why=list(getattr(p.change, "missing", ())))]
    values: dict[str, Any] = {"add": Amount(abs(p.change.add), "mm"), "behind": p.behind}
    if not p.change.inside_then:
        way = "thicker" if p.change.add > 0 else "thinner"
        says = f"No spacer on hand brings it in: make or buy one that is {{add}} {way}, to go behind the {{behind}}."
        return [to_do("line.no_spacer", out + says, rows, **values)]
    says = (
        "Fit the spacer of {spacer} behind the {behind}, which leaves an offset of {left}, and measure the line again."
    )
    values |= {"spacer": Amount(p.change.choose, "mm"), "left": Amount(abs(p.change.gap_then), "mm")}
    return [to_do("line.spacer", out + says, rows, **values)]


def _home(p: Primary) -> list[Step]:
    """Where the parts stand, against where their sizes say they should: a difference that sizes cannot explain."""
    if not p.links or undone(p.line):
        return []
    if not p.stack or not p.offset:
        why = list(getattr(p.offset if p.stack else p.stack, "missing", ()))
        return [
            not_known("home.unknown", "Whether every part is home on its seat is not known: {why}.", p.line, why=why)
        ]
    off, low, high = float(p.offset), p.stack.worst_low, p.stack.worst_high
    reach = 2 * p.offset.std_dev + 1e-9
    values: dict[str, Any] = {
        "low": Amount(low, "mm"),
        "high": Amount(high, "mm"),
        "off": Amount(off, "mm", p.offset.std_dev),
    }
    if low - reach <= off <= high + reach:
        says = "The sizes of the parts explain the offset: they put it between {low} and {high}."
        good = all(row.word == "inside" for row in p.line)
        return [settled("home", says, p.line, **values)] if good else []
    says = (
        "By the sizes of the parts the offset lies between {low} and {high}, but it is {off}: a part is not home on its seat. Look for a "
        "burr, a key that rides up, or a missing spacer before changing any."
    )
    return [to_do("home.not", says, p.line, **values)]


def _slack(p: Primary) -> list[Step]:
    warm = " Set it cold: an alloy case that carries both shafts grows as it warms up, and tightens the drive."
    slack = judged(
        p.slack, "slack", "the slack of the drive",
        measure="Then measure the slack at the tightest and at the slackest place of one full turn (still to do: {at}).",
        inside="The slack is inside its limits.",
        below="Too little slack at {at}: slacken it at the tightest place." + warm,
        above="Too much slack at {at}: take it up at the tightest place. If there is nothing left to adjust, chain or belt is worn." + warm,
        close="The slack is too close to call with this rule at {at}: measure it with a dial or a depth gauge.",
    )  # fmt: skip
    if undone(p.slack):
        return slack
    return [
        *slack,
        *judged(
            p.spread, "spread", "the change of the slack round one turn",
            measure="Measure the slack at the tightest and at the slackest place of one full turn.",
            inside="The slack stays much the same round one turn.",
            outside="The slack changes too much round one turn: the chain has worn unevenly, or a sprocket runs out. Adjusting does not "
            "cure that.",
        ),
    ]  # fmt: skip
