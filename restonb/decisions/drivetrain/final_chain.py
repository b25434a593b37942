"""Final chain: joining link, wear, slack, line, sprockets; and what to do next.

Signs as on the sheet of the wheels: right is +, seen by a rider on the machine; an angle is + when the front edge points to the
right. A wheel points to the side on which its axle stands further back.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from restonb.decisions._words import undone
from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import Amount, Step, judged, not_known, to_do
from restonb.measure import Verdicts, Wear, wear_rate
from restonb.quantity import Quantity, read

__all__ = ["CLOSING", "Chain", "allowed", "front_and_rear", "next_steps", "pointing", "tightest", "turns", "wear"]

CLOSING = (
    "Chain, joining link, slack, line and sprockets are good. Once the axle nut is at its torque with a new split pin in, check "
    "the slack again: tightening moves the wheel."
)
CLIP = {
    "clip direction": "turn the clip round, so that its closed end leads in the direction of travel",
    "clip seat": "seat the clip in the grooves of both pins",
    "stiff link": "free the joining link: it is pressed too far, or does not belong to this chain",
}
MOST = 3.0
"""Elongation in % past which any chain is replaced: common practice, no source."""
NEW = 0.15
"""Over its nominal length, in %, that a new chain may be: ISO 606."""


class Chain(NamedTuple):
    """What is known of the chain; answers of formulas are false while they cannot be worked out."""

    length: Verdicts
    over_links: int
    """How many links the length goes over, as counted."""
    elongation: Any
    """Answer of chain.elongation, in %."""
    advised: Any
    """Answer of chain.elongation_limit, in %."""
    side_play: Verdicts
    plates: Verdicts
    """The joining link across its plates, against its neighbour."""
    clip: Verdicts
    slack: Verdicts
    tight_spot: Verdicts
    line: Verdicts
    """The wheel sprocket to the right (+) or left (-) of the gearbox sprocket, seen from the saddle."""
    lie: Any
    """Answer of alignment.drive_line with plus 'to the right': its angle is + where the rear edge stands to the right."""
    turns: Any
    """How many turns of one adjuster take the angle out; false where it is not known."""
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


def tightest(slack: Sequence[float]) -> float:
    """The movement at the tightest place in mm, whichever of the places it was read at."""
    return min(slack)


def allowed(limits: Sequence[float] | NotYet) -> float | None:
    """The largest offset that the spec book allows to either side, in the unit of the limits; None where it gives none."""
    if isinstance(limits, NotYet):
        return None
    low, high = limits
    return min(-low, high) if low < 0 < high else None


def front_and_rear(offsets: Sequence[float]) -> tuple[float, float] | NotYet:
    """The offsets at the front and at the rear of the wheel sprocket; NotYet where fewer places are measured."""
    if len(offsets) < 2:
        return NotYet(("the offset of the wheel sprocket at two places, front and rear: one place shows no angle",))
    return offsets[0], offsets[1]


def pointing(angle: float) -> float:
    """Where the front edge of the wheel sprocket points, in deg: + to the right, as on the sheet of the wheels.

    `angle`: that of alignment.drive_line, + where the rear edge stands to the right.
    """
    return -float(angle)


def turns(adjusters: float | None, per_turn: str) -> float | NotYet:
    """Turns of one adjuster that move one end of the axle by so many mm; `per_turn` with its unit."""
    if adjusters is None:
        return NotYet(("adjusters, the distance between the two axle adjusters",))
    return abs(float(adjusters)) / read(per_turn, "mm").to("mm").value


def next_steps(c: Chain) -> list[Step]:
    """The decision: a chain that is finished comes first, since nothing else matters on it; then link, slack, line, sprockets."""
    if undone(c.length):
        says = "Measure the length over the links first, the chain pulled straight: a worn chain is replaced, not adjusted."
        return [to_do("length.measure", says, c.length)]
    doubt = _miscounted(c)
    if not doubt and _worn_out(c):
        return [_replace(c)]
    length = doubt or _length(c)
    return [*length, *_clip(c.clip), *_link(c), *_slack(c), *_line(c), *_sprocket(c.sprocket)]


def _miscounted(c: Chain) -> list[Step]:
    """A length that no chain of so many links has: it is looked into, and called neither good nor worn."""
    if isinstance(c.elongation, NotYet):
        says = "Count the links and check the pitch before the wear is judged: {why}."
        return [not_known("length.refused", says, c.length, why=list(c.elongation.missing))]
    by, u = float(c.elongation), getattr(c.elongation, "u", None) or 0.0
    values: dict[str, Any] = {"by": Amount(abs(by), "%"), "links": c.over_links, "more": c.over_links + 1}
    if by < -max(2 * u, 0.05):
        says = (
            "It reads {by} shorter than a new chain of {links} links, and a chain only ever gets longer. Count the links again, check the "
            "pitch, and pull the chain straight."
        )
        return [not_known("length.short", says, c.length, **values)]
    one = 100 / c.over_links
    past = c.length.word == "outside" or by > (float(c.advised) if c.advised else MOST)
    if past and by >= one - max(2 * u, NEW):
        says = (
            "It reads {by} longer than new over {links} links: just what {more} links of a sounder chain would read. Count them again, from "
            "nought. If the count is right, the chain is worn far past its limit: do not ride on it, and replace it with both sprockets."
        )
        return [not_known("length.count", says, c.length, safety=True, **values)]
    return []


def _worn_out(c: Chain) -> bool:
    stated = any(r.characteristic.wear_limit is not None for r in c.length)  # goes before the one that is advised
    over = not stated and bool(c.advised) and float(c.elongation) > float(c.advised) + 1e-9
    return c.length.word == "outside" or over


def _replace(c: Chain) -> Step:
    says = (
        "The chain has stretched by {by}, which is past its limit: replace it together with both sprockets, since hooked teeth ruin a "
        "new chain. Do not shorten it by a link. Measure the new one when it is fitted."
    )
    return to_do("length.worn", says, c.length, by=_share(c.elongation))


def _length(c: Chain) -> list[Step]:
    says = "The chain has stretched by {by}, which is inside its limit."
    values: dict[str, Any] = {"by": _share(c.elongation)}
    if c.wear and c.wear.at is not None:
        says += " At this rate it lasts to about {about} on the odometer, and to {least} at least."
        values |= {"about": int(round(c.wear.at, -2)), "least": int(round(c.wear.earliest, -2))}
    return judged(
        c.length, "length", "the length of the chain",
        measure="Measure the length over the links.",
        inside=says,
        close="The wear is too close to call: measure over more links; the remark in the table says what would settle it.",
        needs=[c.elongation],
        **values,
    )  # fmt: skip


def _clip(clip: Verdicts) -> list[Step]:
    wrong = [CLIP.get(row.position, row.position) for row in clip if row.word == "outside"]
    return judged(
        clip, "clip", "what is wrong at the joining link",
        measure="Look at the joining link (still to do: {at}): the closed end of the clip leads, the clip sits in both grooves, and the "
        "link bends freely.",
        inside="The clip is seated, its closed end leads, and the joining link bends freely.",
        outside="Do not ride: {wrong}.",
        no_limit="Write 0 as the upper limit of the faults at the joining link into the spec book: without it they cannot be judged.",
        stops=True,
        wrong=wrong,
    )  # fmt: skip


def _link(c: Chain) -> list[Step]:
    new = " Fit a new one made for this chain; a pressed link is never pressed back."
    return [
        *judged(
            c.side_play, "side_play", "the side play of the joining link",
            measure="Measure the side play of the joining link.",
            inside="The joining link has the side play it should have.",
            below="Do not ride: the joining link is tight between its plates, so that it stiffens and breaks." + new,
            above="Do not ride: the joining link is loose between its plates: it is not home, is worn, or belongs to another chain." + new,
            stops=True,
        ),
        *judged(
            c.plates, "plates", "the joining link across its plates",
            measure="Measure across the plates of the joining link and of the link beside it.",
            inside="The joining link is as wide across its plates as its neighbour.",
            below="Do not ride: the joining link is narrower than its neighbour, so it was pressed too far and will crack." + new,
            above="Do not ride: the joining link is wider than its neighbour, so its plate is not home and the clip cannot sit in its "
            "grooves. Press it home, or fit one made for this chain.",
            stops=True,
        ),
    ]  # fmt: skip


def _slack(c: Chain) -> list[Step]:
    spot = judged(
        c.tight_spot, "tight_spot", "the change of the slack round one turn",
        measure="Measure the slack at the tightest and at the slackest place of one full turn.",
        inside="The slack stays much the same round one turn.",
        outside="The slack changes too much round one turn: the chain has worn unevenly, or a sprocket runs out. Find out which before "
        "you adjust.",
    )  # fmt: skip
    if c.tight_spot.word == "outside":
        return spot
    slack = judged(
        c.slack, "slack", "the slack",
        measure="Measure the slack (still to do: {at}), with the rider's weight on.",
        inside="The slack is right at its tightest and at its slackest place.",
        below="Too little slack at {at}: a tight chain wrecks the gearbox bearing and breaks. Slacken it at the tightest place, both "
        "adjusters by the same turns.",
        above="Too much slack at {at}: a slack chain jumps and comes off. Take it up at the tightest place, both adjusters by the same "
        "turns.",
        close="The slack is too close to call with this rule at {at}: set it nearer to the middle of its range.",
    )  # fmt: skip
    return [*slack, *(spot if not undone(c.slack) else [])]


def _line(c: Chain) -> list[Step]:
    found = judged(
        c.line, "line", "the line of the sprockets",
        measure="Measure how far the wheel sprocket lies to the left or right of the gearbox sprocket (still to do: {at}).",
        inside="The sprockets are in line.",
        outside="The sprockets are out of line at {at}: set the axle square to the swinging arm pivot with its adjusters, then shift the "
        "wheel with spacers.",
        needs=[c.lie],
    )  # fmt: skip
    crooked = bool(c.lie) and (c.line.word == "outside" or (c.line.word == "inside" and not c.lie.in_line))
    return _bring_in(c) if crooked and not undone(c.line) else found


def _bring_in(c: Chain) -> list[Step]:
    """Left and right as seen from the saddle, as on the sheet of the wheels: the axle square first, then spacers."""
    lie, values = c.lie, [row.value or 0.0 for row in c.line]
    turn, shift = abs(lie.angle) > lie.angle_allowed, abs(lie.offset) > lie.offset_allowed
    if not (turn or shift):  # a single place is past its limit: what does more to it comes first
        turn = abs(values[0] - values[1]) / 2 > abs(lie.offset)
        shift = not turn
    return [*([_turn(c)] if turn else []), *([_shift(c, turn)] if shift else [])]


def _turn(c: Chain) -> Step:
    side, other = ("right", "left") if c.lie.angle > 0 else ("left", "right")
    values: dict[str, Any] = {"angle": Amount(abs(c.lie.angle), "deg"), "side": side, "other": other}
    back = ""
    if c.lie.adjusters:
        back, values["back"] = " by {back}", Amount(abs(c.lie.adjusters), "mm")
    if c.turns:
        back, values["turns"] = back + ", about {turns} turns of that adjuster", Amount(round(float(c.turns), 1), "1")
    says = (
        "The wheel sprocket points off by {angle}: its rear edge stands too far to the {side}. Bring the {side} end of the axle back"
        + back
        + ", or the {other} end forward by as much, whichever leaves the slack right. Then measure from the swinging arm pivot to the axle: "
        "it must be the same on both sides, whatever the marks say. If it was the same before, leave the wheel as it is, and look for a "
        "sprocket or a gearbox that sits askew."
    )
    return to_do("line.angle", says, c.line, **values)


def _shift(c: Chain, after_turning: bool) -> Step:
    side, other = ("right", "left") if c.lie.offset > 0 else ("left", "right")
    first = "Once it points straight, measure again. By these readings the" if after_turning else "The"
    says = (
        f"{first} wheel sprocket lies {{off}} to the {{side}} of the gearbox sprocket. Shift it to the {{other}} with spacers; the "
        "adjusters cannot do that."
    )
    return to_do("line.offset", says, c.line, off=Amount(abs(c.lie.offset), "mm"), side=side, other=other)


def _sprocket(lift: Verdicts) -> list[Step]:
    return judged(
        lift, "sprocket", "the lift at the wheel sprocket",
        measure="Pull the chain away from the rearmost tooth of the wheel sprocket and measure how far it lifts; look for hooked teeth on "
        "both sprockets.",
        inside="The chain sits well on the wheel sprocket, and lifts no more than it may.",
        outside="The chain lifts off the wheel sprocket: teeth or chain are worn. Replace chain and both sprockets together.",
        close="The lift at the wheel sprocket is too close to call. Look at the teeth: hooked or sharp ones decide it.",
    )  # fmt: skip


def _share(elongation: Any) -> Amount:
    return Amount(float(elongation), "%", getattr(elongation, "u", None))
