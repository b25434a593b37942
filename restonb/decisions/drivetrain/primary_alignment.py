"""Primary drive: free of strain, true, in line, at the right tension; and what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from restonb.bench._values import NotYet
from restonb.decisions._words import at_places, listed, undone, unjudged
from restonb.formulas import belts, chain
from restonb.measure import Verdicts

__all__ = ["Gap", "Primary", "as_gap", "next_steps", "parts", "tension", "with_spacer"]

ENGINE = "engine sprocket"


class Gap(NamedTuple):
    """The offset as a gap that a thicker spacer closes, and the window for it, in mm."""

    gap: float
    least: float
    most: float


class Primary(NamedTuple):
    """What is known of the drive; answers of formulas are false while they cannot be worked out."""

    strain: Verdicts
    """What tightening the case shifts, and what of it stays."""
    turning: Verdicts
    """How much harder the shaft turns with the case tight."""
    runout: Verdicts
    split: Any
    """Answer of brakes.run_out on the clutch sprocket's face."""
    line: Verdicts
    tilt: Verdicts
    change: Any
    """Answer of stackup.bring_in for the spacer."""
    behind: str
    """The sprocket that has the spacer behind it."""
    stack: Any
    """Answer of stackup.chain for the drawn position of the sprockets."""
    offset: Any
    slack: Verdicts


def as_gap(offset: float, limits: tuple[float, float], behind: str) -> Gap:
    """The offset of the clutch sprocket (+ behind the engine's) as a gap that a spacer behind that sprocket closes.

    A spacer behind the clutch sprocket brings it forward, and takes from the offset; one behind the engine sprocket adds to it.
    """
    if behind == ENGINE:
        return Gap(-float(offset), -limits[1], -limits[0])
    return Gap(float(offset), *limits)


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

    `slack`: total movement in mm at the tightest place first; `belt`: mass per length, free span and note, each with its unit.
    """
    if drive == "chain":
        return chain.slack(slack[0], centres)
    if len(belt) != 3:
        return NotYet(("belt: mass per metre, free span and note, to be written into build.toml",))
    mass, span, note = belt
    return belts.tension_from_note(mass, span, note)


def next_steps(p: Primary) -> list[str]:
    """The decision in the order in which the work must be done: freedom, truth, line, tension."""
    said = [_freedom(p)]
    if "nothing else counts" in said[0] or p.strain.word == p.turning.word == "not measured":
        return said
    said.append(_truth(p))
    said += _line(p)
    if p.line.word != "inside" or p.tilt.word not in ("inside", "no limit"):
        return said
    said.append(_slack(p.slack))
    if p.slack.word == "inside" and "Measure" not in " ".join(said):
        said.append(
            "In line, true and free: tighten to the plan, bend the tab washers, record the joint, and turn it through by hand."
        )
    return said


def _freedom(p: Primary) -> str:
    if undone(p.strain) and undone(p.turning):
        return "First prove that nothing is strained: measure the shaft with the case open, tight and open again. The line is measured after that."
    bad = [v for v in (*p.strain, *p.turning) if v.verdict == "outside"]
    stays = [v for v in bad if "stays" in v.characteristic.key]
    if stays:
        return (
            f"The shaft does not come back when the case is opened ({listed([v.position for v in stays])}): the dial slipped, or something seated "
            "anew or gave way. Find out which, and take all three rounds again; until then nothing else counts."
        )
    if bad:
        at = listed(list(dict.fromkeys(v.position for v in bad if v.position != "once")))
        return (
            f"Tightening the case strains the shaft{f' ({at})' if at else ''}: the case bridges two faces that are not in one plane. Do not pull it straight with its "
            "screws; shim or dress the face where it stands off, and measure again. Until it is free, nothing else counts."
        )
    if "too close to call" in (p.strain.word, p.turning.word):
        return "Whether the case strains the shaft is too close to call; the remark in the table says what would settle it."
    if told := unjudged(p.strain, "the shift of the shaft") or unjudged(p.turning, "the change of the pull"):
        return told
    return "Nothing is strained: the shaft stays where it is, and turns as freely, when the case is tightened."


def _truth(p: Primary) -> str:
    if undone(p.runout):
        return "Measure the run-out of the clutch sprocket's face: a line that is measured on a wobbling sprocket means nothing."
    if told := unjudged(p.runout, "the run-out of the clutch sprocket"):
        return told
    if p.runout.word == "inside":
        return "The clutch sprocket runs true."
    if p.runout.word == "too close to call":
        return "The run-out of the clutch sprocket is too close to call; the remark in the table says what would settle it."
    if p.split and 2 * p.split.eccentricity > p.split.form:
        return "The clutch sprocket wobbles once a turn: look for dirt or a burr behind the hub, a bent shaft, or worn hub bearings."
    return "The clutch sprocket is bent: replace it, or have it trued."


def _line(p: Primary) -> list[str]:
    if undone(p.line):
        return ["Measure the offset at all four places, and again with both sprockets turned by half a turn."]
    said = []
    if p.tilt.word == "outside":
        said.append(
            "The sprockets are not parallel: no spacer cures that. The gearbox stands askew or tilted on its feet; go back to its mounting, then measure again."
        )
    if told := unjudged(p.line, "the line of the sprockets"):
        said.append(told)
    elif p.line.word == "inside":
        said += [] if said else ["The sprockets are in line."]
    elif p.line.word == "too close to call":
        said.append("The line is too close to call with this gauge; the remark in the table says what would settle it.")
    elif not said:
        said.append(f"Out of line at {at_places(p.line, 'outside')}. {_spacer(p)}")
    return [*said, *_home(p)]


def _spacer(p: Primary) -> str:
    if not p.change:
        return "Measure the spacer fitted, and write the spacers on hand into build.toml, so that the right one can be chosen."
    if not p.change.inside_then:
        way = "thicker" if p.change.add > 0 else "thinner"
        return (
            f"No spacer on hand behind the {p.behind} brings it in: one {way} by {abs(p.change.add):.2f} mm is wanted."
        )
    return f"Fit the spacer of {p.change.choose:g} mm behind the {p.behind}, which leaves {abs(p.change.gap_then):.2f} mm, and measure the line again."


def _home(p: Primary) -> list[str]:
    """Where the parts stand, against where their sizes say they should: a difference that sizes cannot explain."""
    if not p.stack or not p.offset:
        return []
    off = float(p.offset)
    reach = 2 * p.offset.std_dev
    if p.stack.worst_low - reach <= off <= p.stack.worst_high + reach:
        return []
    return [
        f"The sizes of the parts put the offset between {p.stack.worst_low:.2f} and {p.stack.worst_high:.2f} mm, but it is {off:.2f} mm: a part is not home "
        "on its seat. Look for a burr, a key that rides up, or a missing spacer before changing any."
    ]


def _slack(slack: Verdicts) -> str:
    if undone(slack):
        return (
            "Then measure slack (chain) or tension (belt), at the tightest and at the slackest place of one full turn."
        )
    if told := unjudged(slack, "the slack or the tension"):
        return told
    if slack.word == "inside":
        return "The tension is inside its limits."
    if slack.word == "too close to call":
        return "The slack is too close to call with this rule; measure it with a dial or a depth gauge."
    return f"Slack is outside at {at_places(slack, 'outside')}: adjust at the tightest place; a spread that stays is wear of chain or sprockets."
