"""The uncertainty budget: what the uncertainty of one value is made of, and which part dominates it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from restonb.errors import MeasureError
from restonb.measure.uncertainty import (
    COVERAGE,
    arcsine,
    certificate,
    combine,
    coverage_factor,
    effective_dof,
    rectangular,
    resolution_step,
    triangular,
)

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Budget", "Component", "component"]

_TO_U: dict[str, Callable[[float], float]] = {
    "rectangular": rectangular,
    "triangular": triangular,
    "arcsine": arcsine,
    "resolution": resolution_step,
    "certificate": certificate,
    "normal": abs,
}


@dataclass(frozen=True, slots=True)
class Component:
    """One part of a budget.

    `value` is what is stated (half-width, step, U or s) with its `distribution`; `u` the standard uncertainty
    from it; `sensitivity` the change of the result for one unit of this part. `cause` is 'instrument', 'resolution',
    'scatter', 'temperature' or ''. Parts with the same `shared` (an instrument) may err together. `at` is the position
    of the reading that it comes with, where a result is worked out from several.
    """

    name: str
    value: float
    distribution: str
    u: float
    sensitivity: float = 1.0
    dof: float = math.inf
    cause: str = ""
    shared: str = ""
    at: str = ""

    @property
    def title(self) -> str:
        """Name, and position if there is one."""
        return f"{self.name}, {self.at}" if self.at else self.name

    @property
    def contribution(self) -> float:
        """|sensitivity| u, in the unit of the result."""
        return abs(self.sensitivity) * self.u


def component(
    name: str,
    value: float,
    distribution: str,
    *,
    k: float = 2.0,
    sensitivity: float = 1.0,
    dof: float = math.inf,
    cause: str = "",
    shared: str = "",
) -> Component:
    """A part from what is stated: 'rectangular', 'triangular' and 'arcsine' take a half-width, 'resolution' a step,
    'certificate' a U with its `k`, 'normal' a standard uncertainty."""
    if distribution not in _TO_U:
        raise MeasureError(f"unknown distribution '{distribution}'; write one of {', '.join(sorted(_TO_U))}")
    u = certificate(value, k) if distribution == "certificate" else _TO_U[distribution](value)
    return Component(name, value, distribution, u, sensitivity, dof, cause, shared)


@dataclass(frozen=True)
class Budget:
    """Parts that add up to the uncertainty of one value, JCGM 100 5.1 and annex G.

    Parts with the same `shared` come from one gauge, and how much of its error two readings have in common is not
    known: they are counted as independent or as wholly common, whichever gives the larger uncertainty.
    """

    components: tuple[Component, ...]
    unit: str = ""
    p: float = COVERAGE

    @cached_property
    def u(self) -> float:
        """Combined standard uncertainty."""
        together: dict[str, float] = {}
        for c in self.components:
            if c.shared:
                together[c.shared] = together.get(c.shared, 0.0) + c.sensitivity * c.u
        alone = [combine([c.contribution for c in self.components if c.shared == name]) for name in ("", *together)]
        return combine([alone[0], *(max(a, abs(t)) for a, t in zip(alone[1:], together.values(), strict=True))])

    @cached_property
    def dof(self) -> float:
        """Effective degrees of freedom, Welch-Satterthwaite, not cut down."""
        parts = [c.contribution for c in self.components]
        alone = effective_dof(parts, [c.dof for c in self.components])
        return alone if math.isinf(alone) else alone * (self.u / combine(parts)) ** 4

    @cached_property
    def k(self) -> float:
        """Coverage factor for probability `p`."""
        return coverage_factor(max(self.dof, 1.0), self.p)

    @cached_property
    def U(self) -> float:
        """Expanded uncertainty k u."""
        return self.k * self.u

    @property
    def largest(self) -> Component | None:
        """The part that dominates: where a better gauge, or more readings, would help most."""
        return max(self.components, key=lambda c: c.contribution, default=None)

    @property
    def dominant(self) -> tuple[str, float]:
        """What most of it comes from, the same part at several positions taken together, and its share in %."""
        shares: dict[str, float] = {}
        for c in self.components:
            shares[c.name] = shares.get(c.name, 0.0) + self.percent(c)
        return max(shares.items(), key=lambda item: item[1], default=("", 0.0))

    def percent(self, part: Component) -> float:
        """Share of one part in the sum of the squares of all, %."""
        total = math.fsum(c.contribution**2 for c in self.components)
        return 100 * part.contribution**2 / total if total else 0.0

    def in_unit(self, unit: str, factor: float) -> Budget:
        """The same budget in another unit, of which there are `factor` to one of the present unit."""
        parts = (replace(c, value=c.value * factor, u=c.u * factor) for c in self.components)
        return Budget(tuple(parts), unit, self.p)

    def as_data(self) -> list[dict[str, Any]]:
        """One dictionary per part, JSON-ready; infinite dof is None."""
        return [
            {
                "part": c.title,
                "value": c.value,
                "distribution": c.distribution,
                "u": c.u,
                "sensitivity": c.sensitivity,
                "contribution": c.contribution,
                "percent": self.percent(c),
                "dof": None if math.isinf(c.dof) else c.dof,
            }
            for c in self.components
        ]

    def frame(self) -> pd.DataFrame:
        """The parts as a pandas table."""
        import pandas as pd

        columns = ["part", "value", "distribution", "u", "sensitivity", "contribution", "percent", "dof"]
        return pd.DataFrame(self.as_data(), columns=columns)

    def __str__(self) -> str:
        lines = [
            f"{c.title}: {c.value:.3g} {self.unit} {c.distribution}, u = {c.contribution:.2g} {self.unit}"
            f" ({self.percent(c):.0f} %)"
            for c in self.components
        ]
        return "\n".join([*lines, self.summary()])

    def summary(self) -> str:
        """One line: u, k, U, and the part that dominates."""
        if self.largest is None or self.u == 0:
            return "uncertainty not known: name the instrument, and its error in instruments.csv"
        name, share = self.dominant
        dof = "" if math.isinf(self.dof) else f", dof {math.floor(self.dof)}"
        return (
            f"u = {self.u:.2g} {self.unit}{dof}, k = {self.k:.2f}, U = {self.U:.2g} {self.unit};"
            f" most of it: {name} ({share:.0f} %)"
        )

    def _repr_html_(self) -> str:
        from html import escape

        head = ("part", "stated", "distribution", "u", "sensitivity", "contribution", "%", "dof")
        rows = []
        for c in self.components:
            dof = "∞" if math.isinf(c.dof) else f"{c.dof:.3g}"
            cells: Iterable[str] = (
                c.title,
                f"{c.value:.3g}",
                c.distribution,
                f"{c.u:.2g}",
                f"{c.sensitivity:.3g}",
                f"{c.contribution:.2g}",
                f"{self.percent(c):.0f}",
                dof,
            )
            rows.append("<tr>" + "".join(f"<td>{escape(t)}</td>" for t in cells) + "</tr>")
        top = "".join(f'<th scope="col">{h}</th>' for h in head)
        return (
            f'<table class="restonb-budget"><caption>{escape(self.summary())}</caption>'
            f"<thead><tr>{top}</tr></thead><tbody>{''.join(rows)}</tbody></table>"
        )
