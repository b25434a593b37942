"""Loads and fuses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from restonb.errors import FormulaError
from restonb.formulas._core import In, Out, formula
from restonb.formulas._tables import recalled, rows
from restonb.formulas.checks import between, not_negative, positive

RATINGS = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0)
"""Blade fuse ratings in A: ISO 8820-3."""
COLOURS = {1.0: "black", 2.0: "grey", 3.0: "violet", 4.0: "pink", 5.0: "tan", 7.5: "brown", 10.0: "red", 15.0: "blue",
           20.0: "yellow", 25.0: "clear", 30.0: "green"}  # fmt: skip
LAMPS = rows("restonb.formulas.electrical", "lamps.csv")


@formula(
    text="I = P / U",
    source=("physics",),
    valid="steady state",
    not_for="the inrush of a cold lamp: eight to ten times as much for an instant",
)
def load_current(
    power: Annotated[float, In("W", "power of the load", symbol="P")],
    voltage: Annotated[float, In("V", "voltage at the load", symbol="U")] = 12.0,
) -> Annotated[float, Out("A", "current", symbol="I")]:
    """Which current a load draws."""
    not_negative(power=power)
    positive(voltage=voltage)
    return power / voltage


@dataclass(frozen=True, slots=True)
class Lamp:
    power: Annotated[float, Out("W", "rated power, the larger filament")]
    second: Annotated[float | None, Out("W", "rated power of the smaller filament")]
    notes: tuple[str, ...] = ()


@formula(
    text="table by category",
    source=("ece-r37",),
    valid="12 V filament lamps",
    not_for="lamps marked otherwise: the mark on the cap comes first",
)
def lamp(category: Annotated[str, In(None, "category on the cap", tuple(r["category"] for r in LAMPS))]) -> Lamp:
    """How much a filament lamp of a category draws."""
    row = next(r for r in LAMPS if r["category"] == category)
    second = float(row["second_W"]) if row["second_W"] else None
    return Lamp(float(row["power_W"]), second, (f"from {row['source']}", *recalled(row, f"the power of {category}")))


@dataclass(frozen=True, slots=True)
class Fuse:
    least: Annotated[float, Out("A", "least rating by the 80 % rule")]
    rating: Annotated[float, Out("A", "fuse to fit")]
    colour: Annotated[str, Out(None, "colour of a blade fuse of that rating")]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@formula(
    text="least = I / 0.8; the next rating up; not above what the wire carries",
    source=("iso-8820", "practice"),
    valid="continuous loads on blade fuses up to 30 A",
    not_for="old glass fuses, whose figure may mean the blowing current; ask which",
)
def fuse(
    current: Annotated[float, In("A", "continuous current of the circuit", symbol="I")],
    wire_load: Annotated[float, In("A", "load that the wire bears, see electrical.wire_for")],
) -> Fuse:
    """Which fuse protects a circuit and its wire."""
    positive(current=current, wire_load=wire_load)
    least = current / 0.8
    rating = next((r for r in RATINGS if r >= least - 1e-12), None)
    if rating is None:
        raise FormulaError(f"{least:g} A is above the largest blade fuse of {RATINGS[-1]:g} A; split the circuit")
    if rating > wire_load:
        raise FormulaError(
            f"a fuse of {rating:g} A would not protect a wire for {wire_load:g} A; take a thicker wire or split the circuit"
        )
    return Fuse(
        least, rating, COLOURS[rating], (), ("a fuse protects the wire: never fit a larger one to stop it blowing",)
    )


@dataclass(frozen=True, slots=True)
class GlassFuse:
    carries: Annotated[float, Out("A", "carries this for ever")]
    within_an_hour: Annotated[float, Out("A", "opens within 60 minutes at this")]
    within_two_minutes: Annotated[float, Out("A", "opens within 2 minutes at this")]
    notes: tuple[str, ...] = ()


@formula(
    text="carries 100 %, opens within 60 min at 135 % and within 2 min at 200 % of the rating",
    source=("ul-248-14",),
    valid="glass fuses to UL 248-14, up to 30 A",
    not_for="old glass fuses marked with the current at which they blow, about twice the rating; ask which is meant",
)
def glass_fuse(rating: Annotated[float, In("A", "rating printed on the cap")]) -> GlassFuse:
    """What a glass fuse carries, and when it opens."""
    between("rating", rating, 0.1, 30, "A")
    return GlassFuse(rating, 1.35 * rating, 2 * rating, ("a blade fuse of the same figure opens at other times",))
