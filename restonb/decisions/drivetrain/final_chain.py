"""Final chain: joining link, wear, slack, line, sprockets; and what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from restonb.bench._values import NotYet
from restonb.decisions._words import at_places, listed, places, undone, unjudged
from restonb.measure import Verdicts, Wear, wear_rate
from restonb.quantity import Quantity

__all__ = ["Chain", "next_steps", "wear"]

CLIP = {
    "clip direction": "turn the clip round: its closed end leads in the direction of travel",
    "clip seat": "seat the clip in the grooves of both pins",
    "stiff link": "the joining link is stiff: it is pressed too far, or is not of this chain",
}


class Chain(NamedTuple):
    """What is known of the chain; answers of formulas are false while they cannot be worked out."""

    length: Verdicts
    elongation: Any
    """Answer of chain.elongation, in %."""
    advised: Any
    """Answer of chain.elongation_limit, in %."""
    link: Verdicts
    """Side play of the joining link, and its plates against its neighbour's."""
    clip: Verdicts
    slack: Verdicts
    tight_spot: Verdicts
    line: Verdicts
    lie: Any
    """Answer of alignment.drive_line."""
    sprocket: Verdicts
    wear: Any


def wear(points: Sequence[tuple[float, float]], limit: Quantity, u: float) -> Wear | NotYet:
    """How fast the chain grows, and at which usage it meets its wear limit; NotYet before readings at three usages.

    `points`: usage and length in mm; `u`: standard uncertainty of one reading in mm.
    """
    if len({usage for usage, _ in points}) < 3:
        return NotYet(("the length at three different mileages or more, to see how fast it wears",))
    usage, length = zip(*points, strict=True)
    return wear_rate(usage, length, limit.to("mm").value, wears="up", u=u)


def next_steps(c: Chain) -> list[str]:
    """The decision: a chain that is done comes first, since nothing else matters on it; then link, slack, line, sprockets."""
    if undone(c.length):
        return [
            "Measure the length over the links first, the chain pulled straight: a worn chain is not adjusted but replaced."
        ]
    refused = isinstance(c.elongation, NotYet)
    if _worn_out(c) and not refused:
        return [_replace(c)]
    said = [_refused(c) if refused else _length(c), _link(c), _slack(c), _line(c), _sprocket(c.sprocket)]
    if all("inside" in line or "fits" in line or "worn longer" in line for line in said):
        said.append(
            "With the axle at its torque and a new split pin in, measure the slack once more: tightening moves the wheel."
        )
    return said


def _worn_out(c: Chain) -> bool:
    stated = any(
        row.characteristic.wear_limit is not None for row in c.length
    )  # a stated limit goes before the advised one
    over = not stated and bool(c.advised) and bool(c.elongation) and float(c.elongation) > float(c.advised)
    return c.length.word == "outside" or over


def _replace(c: Chain) -> str:
    by = f" by {float(c.elongation):.1f} %" if c.elongation else ""
    return (
        f"The chain is worn longer{by} and past its limit: replace it together with both sprockets, since hooked teeth ruin a new chain. Do not "
        "shorten it by a link. Measure the new one as it is fitted."
    )


def _refused(c: Chain) -> str:
    """The length is measured, and cannot be that of so many links of this pitch."""
    why = c.elongation.missing[0].partition(";")[0]
    return f"Not worked out: count the links and check the pitch, before the wear is judged ({why})."


def _length(c: Chain) -> str:
    if c.length.word == "too close to call":
        return "The wear is too close to call with this calliper; measure over more links, the remark in the table says what would settle it."
    by = f" by {float(c.elongation):.2f} %" if c.elongation else ""
    last = ""
    if c.wear and c.wear.at is not None:
        last = f" At this rate it lasts to about {c.wear.at:.0f} on the odometer, to {c.wear.earliest:.0f} at least."
    if c.length.word == "no limit" and not (c.advised and c.elongation):
        return unjudged(c.length, "the length of the chain")
    limit = (
        "which is inside its limit"
        if c.length.word != "no limit"
        else f"of {float(c.advised):g} % that are advised as most"
    )
    return f"The chain is worn longer{by}, {limit}.{last}"


def _link(c: Chain) -> str:
    wrong = [CLIP.get(place, place) for place in places(c.clip, "outside")]
    if wrong:
        return f"Do not ride: {listed(wrong)}."
    if c.link.word == "outside":
        what = listed(list(dict.fromkeys(r.characteristic.what for r in c.link if r.verdict == "outside")))
        return f"Do not ride: the joining link is outside its limit ({what}). Press it again, or fit a new one of this chain."
    if undone(c.clip) or undone(c.link):
        return "Look at the joining link: closed end of the clip leads, seated in both grooves, bends freely; measure its side play and its plates."
    if told := unjudged(c.clip, "the faults of the joining link", "0") or unjudged(c.link, "the joining link"):
        return told
    if c.link.word == "too close to call":
        return (
            "The joining link is too close to call with this gauge; the remark in the table says what would settle it."
        )
    return "The joining link fits: clip seated, closed end leading."


def _slack(c: Chain) -> str:
    if undone(c.slack):
        return "Measure the slack at the tightest and at the slackest place of one full turn."
    if told := unjudged(c.slack, "the slack"):
        return told
    if c.tight_spot.word == "outside":
        return "The slack changes too much round one turn: a tight spot is an eccentric sprocket or uneven wear. Find which before adjusting."
    if c.slack.word == "outside":
        return f"Slack is outside at {at_places(c.slack, 'outside')}: adjust at the tightest place, both adjusters by the same turns."
    if "too close to call" in (c.slack.word, c.tight_spot.word):
        return "The slack is too close to call with this rule; set it nearer to the middle of its range."
    return "Slack is inside at its tightest and its slackest place."


def _line(c: Chain) -> str:
    if undone(c.line):
        return "Measure the wheel sprocket against a straight edge along the gearbox sprocket, front and rear."
    if told := unjudged(c.line, "the line of the sprockets"):
        return told
    if c.line.word == "outside":
        steps = (
            listed(list(c.lie.steps))
            if c.lie and not c.lie.in_line
            else "turn the wheel with its adjusters, then shift it with spacers"
        )
        return f"Out of line at {at_places(c.line, 'outside')}: {steps}."
    if c.line.word == "too close to call":
        return "The line is too close to call with this gauge; the remark in the table says what would settle it."
    return "The line is inside its limits."


def _sprocket(lift: Verdicts) -> str:
    if undone(lift):
        return "Pull the chain away from the rearmost tooth of the wheel sprocket and measure how far it lifts; look for hooked teeth on both."
    if told := unjudged(lift, "the lift at the sprocket"):
        return told
    if lift.word == "outside":
        return "The chain lifts off the wheel sprocket: teeth or chain are worn. Replace the sprockets with the chain, not one of them."
    if lift.word == "too close to call":
        return "The lift at the sprocket is too close to call; look at the teeth: hooked or sharp ones decide it."
    return "The sprockets hold the chain: lift is inside its limit."
