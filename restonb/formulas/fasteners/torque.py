"""Torque and preload, each from the other: with a nut factor, and with friction in the thread and under the head."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from restonb.formulas._core import In, Out, formula
from restonb.formulas._thread_form import pitch_diameter
from restonb.formulas.checks import between, need, not_negative, positive

NUT_FACTORS = {
    "dry steel": (0.18, 0.20, 0.27),
    "zinc plated": (0.17, 0.22, 0.35),
    "oiled": (0.15, 0.17, 0.20),
    "cadmium plated": (0.13, 0.16, 0.19),
    "anti-seize": (0.12, 0.14, 0.16),
}
"""Low, usual and high nut factor by state of the thread. Printed sources spread this widely (Machinery's Handbook)."""

CAUTION = "the maker's manual decides the torque; a figure worked out here is a check on it, not a replacement"


@formula(
    text="T = K d F",
    source=("machinery: torque and preload", "practice"),
    valid="nut factor from 0.05 to 0.5",
    not_for="critical joints: the nut factor spreads by a third either way, so measure stretch or angle there",
)
def torque(
    preload: Annotated[float, In("N", "wanted preload", symbol="F")],
    diameter: Annotated[float, In("mm", "nominal thread diameter", symbol="d")],
    nut_factor: Annotated[float, In("1", "nut factor", symbol="K")] = 0.2,
) -> Annotated[float, Out("N m", "tightening torque", symbol="T")]:
    """Which torque gives a wanted preload, with a nut factor."""
    positive(preload=preload, diameter=diameter)
    between("nut_factor", nut_factor, 0.05, 0.5)
    return nut_factor * diameter / 1000 * preload


@formula(
    text="F = T / (K d)",
    source=("machinery: torque and preload", "practice"),
    valid="nut factor from 0.05 to 0.5",
    not_for="critical joints: the nut factor spreads by a third either way",
)
def preload(
    torque: Annotated[float, In("N m", "tightening torque, without any prevailing torque", symbol="T")],
    diameter: Annotated[float, In("mm", "nominal thread diameter", symbol="d")],
    nut_factor: Annotated[float, In("1", "nut factor", symbol="K")] = 0.2,
) -> Annotated[float, Out("N", "preload", symbol="F")]:
    """Which preload a torque gives, with a nut factor."""
    positive(torque=torque, diameter=diameter)
    between("nut_factor", nut_factor, 0.05, 0.5)
    return torque / (nut_factor * diameter / 1000)


def _lever(pitch: float, pitch_dia: float, thread: float, head: float, bearing: float) -> float:
    """Torque per newton of preload, in mm: slope, thread friction and head friction (ISO 16047)."""
    return pitch / (2 * math.pi) + thread * pitch_dia / (2 * math.cos(math.radians(30))) + head * bearing / 2


def _friction(pitch: float, diameter: float, thread: float, head: float, bearing: float) -> float:
    positive(pitch=pitch, diameter=diameter, bearing_diameter=bearing)
    need(
        pitch < diameter,
        f"'pitch' is {pitch:g} mm on a {diameter:g} mm thread; give the pitch, not the diameter",
        field="pitch",
    )
    need(
        bearing > diameter,
        f"'bearing_diameter' is {bearing:g} mm; it lies between the hole and the head, above {diameter:g} mm",
        field="bearing_diameter",
    )
    between("thread_friction", thread, 0.0, 0.5)
    between("head_friction", head, 0.0, 0.5)
    return _lever(pitch, pitch_diameter(diameter, pitch), thread, head, bearing)


@formula(
    text="T = F (P/(2 pi) + mu_t d2/(2 cos 30) + mu_h Dkm/2); d2 = pitch diameter, d - 0.6495 P",
    source=("iso-16047", "vdi-2230: tightening torque"),
    valid="60 degree threads; friction coefficients from 0 to 0.5",
    not_for="Whitworth threads: their flank angle is 27.5 degrees, which changes the middle term by 2 %",
)
def friction_torque(
    preload: Annotated[float, In("N", "wanted preload", symbol="F")],
    diameter: Annotated[float, In("mm", "nominal thread diameter", symbol="d")],
    pitch: Annotated[float, In("mm", "thread pitch", symbol="P")],
    bearing_diameter: Annotated[float, In("mm", "mean bearing diameter under head or nut", symbol="Dkm")],
    thread_friction: Annotated[float, In("1", "friction coefficient in the thread", symbol="mu_t")] = 0.14,
    head_friction: Annotated[float, In("1", "friction coefficient under head or nut", symbol="mu_h")] = 0.14,
) -> Annotated[float, Out("N m", "tightening torque", symbol="T")]:
    """Which torque gives a wanted preload, with friction in thread and head taken apart."""
    positive(preload=preload)
    return preload * _friction(pitch, diameter, thread_friction, head_friction, bearing_diameter) / 1000


@formula(
    text="F = T / (P/(2 pi) + mu_t d2/(2 cos 30) + mu_h Dkm/2); d2 = pitch diameter, d - 0.6495 P",
    source=("iso-16047", "vdi-2230: tightening torque"),
    valid="60 degree threads; friction coefficients from 0 to 0.5",
    not_for="Whitworth threads: their flank angle is 27.5 degrees",
)
def preload_from_friction(
    torque: Annotated[float, In("N m", "tightening torque, without any prevailing torque", symbol="T")],
    diameter: Annotated[float, In("mm", "nominal thread diameter", symbol="d")],
    pitch: Annotated[float, In("mm", "thread pitch", symbol="P")],
    bearing_diameter: Annotated[float, In("mm", "mean bearing diameter under head or nut", symbol="Dkm")],
    thread_friction: Annotated[float, In("1", "friction coefficient in the thread", symbol="mu_t")] = 0.14,
    head_friction: Annotated[float, In("1", "friction coefficient under head or nut", symbol="mu_h")] = 0.14,
) -> Annotated[float, Out("N", "preload", symbol="F")]:
    """Which preload a torque gives, with friction in thread and head taken apart."""
    positive(torque=torque)
    return torque * 1000 / _friction(pitch, diameter, thread_friction, head_friction, bearing_diameter)


@formula(
    text="K = T / (F d)",
    source=("iso-16047",),
    valid="any consistent torque and preload",
)
def nut_factor(
    torque: Annotated[float, In("N m", "tightening torque", symbol="T")],
    preload: Annotated[float, In("N", "preload at that torque", symbol="F")],
    diameter: Annotated[float, In("mm", "nominal thread diameter", symbol="d")],
) -> Annotated[float, Out("1", "nut factor", symbol="K")]:
    """Which nut factor a torque and a measured preload stand for."""
    positive(torque=torque, preload=preload, diameter=diameter)
    return torque * 1000 / (preload * diameter)


@dataclass(frozen=True, slots=True)
class WantedPreload:
    preload: Annotated[float, Out("N", "wanted preload", symbol="F")]
    torque_low: Annotated[float, Out("N m", "torque at the low end of the nut factor")]
    torque_usual: Annotated[float, Out("N m", "torque at the usual nut factor")]
    torque_high: Annotated[float, Out("N m", "torque at the high end of the nut factor")]
    overload: Annotated[float, Out("%", "how much the preload is over if the dry figure is used on this thread")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="F = share * proof load; T = K d F for the low, usual and high K; T = torque, K = nut factor of the state of the thread, d = nominal diameter",
    source=("machinery: preload as a share of proof load", "practice"),
    valid="share of proof load from 10 to 95 %",
    not_for="threads in soft castings: check first which part strips (threads.stripping)",
)
def wanted_preload(
    proof_load: Annotated[float, In("N", "proof load of the bolt, see fasteners.proof_load")],
    diameter: Annotated[float, In("mm", "nominal thread diameter")],
    thread_state: Annotated[str, In(None, "state of the thread", tuple(NUT_FACTORS))] = "dry steel",
    share: Annotated[
        float, In("%", "share of the proof load: 75 for a joint that is opened again, 90 for one that stays")
    ] = 75.0,
) -> WantedPreload:
    """Which preload and torque suit a bolt, dry or lubricated, shown as a range."""
    positive(proof_load=proof_load, diameter=diameter)
    between("share", share, 10, 95, "%")
    wanted = proof_load * share / 100
    low, usual, high = NUT_FACTORS[thread_state]
    dry = NUT_FACTORS["dry steel"][1]
    over = 100 * (dry / usual - 1)
    notes = [f"nut factor for '{thread_state}': {low:g} to {high:g}, usually {usual:g}; sources spread"]
    if over > 5:
        notes.append(
            f"a torque figure given for dry threads would load this bolt by about {over:.0f} % more than meant"
        )
    return WantedPreload(
        wanted,
        low * diameter * wanted / 1000,
        usual * diameter * wanted / 1000,
        high * diameter * wanted / 1000,
        max(0.0, over),
        tuple(notes),
        (CAUTION,),
    )


@formula(
    text="T_total = T_seating + T_prevailing",
    source=("practice",),
    valid="prevailing torque measured while the nut is run down, before it seats",
    not_for="adding friction twice: the seating torque already holds thread friction of an ordinary nut",
)
def prevailing_torque(
    seating_torque: Annotated[
        float, In("N m", "torque wanted for the preload, as for an ordinary nut", symbol="T_seating")
    ],
    run_down_torque: Annotated[
        float, In("N m", "torque measured while turning the self-locking nut freely down", symbol="T_prevailing")
    ],
) -> Annotated[float, Out("N m", "torque to set on the wrench", symbol="T_total")]:
    """Which torque to set for a self-locking nut."""
    positive(seating_torque=seating_torque)
    not_negative(run_down_torque=run_down_torque)
    return seating_torque + run_down_torque


@formula(
    text="T_set = T L / (L + E cos a)",
    source=("practice", "geometry"),
    valid="hand on the middle of the grip; angle from 0 (adapter lengthens the wrench) to 180 (it points back)",
    not_for="extensions along the socket axis: they need no correction",
)
def adapter_setting(
    torque: Annotated[float, In("N m", "torque wanted at the fastener", symbol="T")],
    wrench_length: Annotated[float, In("mm", "from the square drive to the middle of the grip", symbol="L")],
    adapter_length: Annotated[float, In("mm", "from the square drive to the fastener", symbol="E")],
    angle: Annotated[
        float, In("deg", "between adapter and wrench: 0 straight on, 90 across, 180 pointing back", symbol="a")
    ] = 0.0,
) -> Annotated[float, Out("N m", "torque to set on the wrench", symbol="T_set")]:
    """Which torque to set on the wrench when an open-ended adapter sits on it."""
    positive(torque=torque, wrench_length=wrench_length)
    not_negative(adapter_length=adapter_length)
    between("angle", angle, -180, 180, "deg")
    arm = wrench_length + adapter_length * math.cos(math.radians(angle))
    need(arm > 0, "the adapter reaches back past the grip; take a shorter adapter or another angle")
    return torque * wrench_length / arm


SCATTER = {
    "torque wrench, friction measured": (1.4, 1.6),
    "torque wrench, friction estimated": (1.6, 2.5),
    "impact wrench": (2.5, 4.0),
    "turn of the nut": (1.2, 1.4),
    "stretch measured": (1.1, 1.5),
}
"""alpha_A = highest over lowest preload by method (VDI 2230-1 Table A8, recalled)."""


@dataclass(frozen=True, slots=True)
class Scatter:
    low: Annotated[float, Out("N", "lowest preload to expect", symbol="Fmin")]
    high: Annotated[float, Out("N", "highest preload to expect", symbol="Fmax")]
    half_width: Annotated[float, Out("%", "spread about the middle, +/-")]
    factor: Annotated[float, Out("1", "highest over lowest preload", symbol="alpha_A")]
    notes: tuple[str, ...] = ()


@formula(
    text="alpha_A = Fmax/Fmin; half width = (alpha_A - 1)/(alpha_A + 1)",
    source=("vdi-2230: Table A8, tightening factor, recalled",),
    valid="the wider end of the range is taken",
    not_for="used or damaged threads",
)
def preload_scatter(
    preload: Annotated[float, In("N", "preload aimed at")],
    method: Annotated[str, In(None, "how it is tightened", tuple(SCATTER))] = "torque wrench, friction estimated",
) -> Scatter:
    """How far the preload really spreads with a way of tightening."""
    positive(preload=preload)
    best, worst = SCATTER[method]
    half = (worst - 1) / (worst + 1)
    return Scatter(
        preload * (1 - half),
        preload * (1 + half),
        100 * half,
        worst,
        (
            f"'{method}': from {best:g} to {worst:g} in VDI 2230-1 Table A8, recalled, the print was not at hand: check it against the print before you rely on it",
        ),
    )


@dataclass(frozen=True, slots=True)
class WrenchRange:
    share: Annotated[float, Out("%", "share of the wrench's maximum")]
    error: Annotated[float, Out("N m", "permitted error of the wrench at this torque, +/-")]
    suits: Annotated[bool, Out(None, "this wrench suits this torque")]
    notes: tuple[str, ...] = ()


@formula(
    text="suits from 20 to 100 % of the maximum; error 4 %, or 6 % where the maximum is 10 N m or less",
    source=("iso-6789: permitted deviation of the reading",),
    valid="click and dial wrenches",
)
def wrench_range(
    torque: Annotated[float, In("N m", "torque wanted")],
    wrench_maximum: Annotated[float, In("N m", "largest torque of the wrench")],
) -> WrenchRange:
    """Whether a torque wrench suits a torque, and how wrong it may be there."""
    positive(torque=torque, wrench_maximum=wrench_maximum)
    share = 100 * torque / wrench_maximum
    error = torque * (0.06 if wrench_maximum <= 10 else 0.04)
    notes = []
    if share < 20:
        notes.append("below a fifth of the wrench's range its error is not stated; take a smaller wrench")
    if share > 100:
        notes.append("above the wrench's range; take a larger wrench")
    return WrenchRange(share, error, 20 <= share <= 100, tuple(notes))
