"""Chain wear and slack: what was measured against what may be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas.checks import between, need, positive


@formula(
    text="elongation = 100 (M / (n p) - 1)",
    source=("geometry", "iso-606: measured under light load"),
    valid="measured pin to pin over 10 links or more, chain stretched by a light load",
    not_for="a chain with a tight spot: measure there too, and in several places",
)
def elongation(
    measured: Annotated[float, In("mm", "length over the links, pin to pin", symbol="M")],
    over_links: Annotated[int, In("1", "number of links measured over", symbol="n")],
    pitch: Annotated[float, In("mm", "chain pitch", symbol="p")],
) -> Annotated[float, Out("%", "elongation; below 0 means fewer links were measured than said")]:
    """How far a chain has stretched by the wear of its pins."""
    positive(measured=measured, pitch=pitch)
    need(over_links >= 1, f"'over_links' is {over_links}; give 1 or more", field="over_links")
    result = 100 * (measured / (over_links * pitch) - 1)
    need(
        -2 < result < 10,
        f"{measured:g} mm over {over_links} links of {pitch:g} mm makes {result:.1f} %; count the links and check the pitch",
    )
    return result


@formula(
    text="limit = min(3, 200 / N) %; 1.5 % where the centre distance is fixed",
    source=("practice",),
    valid="N teeth on the largest sprocket, 9 to 150",
    not_for="a maker's own limit: that comes first",
)
def elongation_limit(
    largest_sprocket: Annotated[int, In("1", "teeth of the largest sprocket", symbol="N")],
    fixed_centres: Annotated[bool, In(None, "the centre distance cannot be adjusted")] = False,
) -> Annotated[float, Out("%", "elongation at which the chain is replaced")]:
    """At which elongation a chain is replaced."""
    between("largest_sprocket", largest_sprocket, 9, 150, "teeth")
    limit = min(3.0, 200 / largest_sprocket)
    return min(limit, 1.5) if fixed_centres else limit


@dataclass(frozen=True, slots=True)
class Slack:
    share: Annotated[float, Out("%", "total movement of the run as a share of the centre distance")]
    low: Annotated[float, Out("mm", "least total movement in mid span")]
    usual: Annotated[float, Out("mm", "usual total movement in mid span")]
    high: Annotated[float, Out("mm", "most total movement in mid span")]
    notes: tuple[str, ...] = ()


@formula(
    text="share = 100 movement / centre distance; 1 to 4 %, usually 2 %",
    source=("practice",),
    valid="chains whose centre distance does not change while riding",
    not_for="swinging-arm rear chains without care: they are tightest where the three axes line up, so measure there",
)
def slack(
    movement: Annotated[float, In("mm", "total up and down movement in mid span, at the tightest place")],
    centre_distance: Annotated[float, In("mm", "between the shafts")],
) -> Slack:
    """Whether the slack of a chain is about right."""
    positive(centre_distance=centre_distance)
    need(movement >= 0, "'movement' is below 0; give the total movement", field="movement")
    share = 100 * movement / centre_distance
    need(share < 20, f"{movement:g} mm is {share:.0f} % of the centre distance; check both numbers")
    return Slack(
        share,
        0.01 * centre_distance,
        0.02 * centre_distance,
        0.04 * centre_distance,
        ("the maker's figure comes first; turn the wheel and measure where the chain is tightest",),
    )
