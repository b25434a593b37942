"""Shapes from several readings: how far out of centre, out of round, twisted; the circle that fits best.

Plain arrays in one unit. Readings round a circle are taken as a clock shows them: 12:00 first, clockwise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from restonb.errors import MeasureError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["Circle", "Harmonic", "fit_circle", "harmonic", "twist"]


@dataclass(frozen=True, slots=True)
class Harmonic:
    """Dial readings round a circle, split into what is out of centre and what is out of round.

    `mean`, `eccentricity`, `run_out` (largest less smallest reading), `form` (the same of what remains when mean and
    eccentricity are taken out) in the unit of the readings; `direction` of the high side in degrees clockwise from
    12:00; `u_factor`: u of the eccentricity is this times u of one reading.
    """

    n: int
    mean: float
    eccentricity: float
    direction: float
    run_out: float
    form: float
    residuals: tuple[float, ...]
    u_factor: float


@dataclass(frozen=True, slots=True)
class Circle:
    """The least-squares circle: centre, radius, `roundness` (largest less smallest distance from its centre, ISO 12181).

    `u_x`, `u_y`, `u_radius` are standard uncertainties from the scatter of the points, with `dof` = n - 3; None
    with three points, through which a circle always goes.
    """

    n: int
    x: float
    y: float
    radius: float
    roundness: float
    u_x: float | None
    u_y: float | None
    u_radius: float | None
    dof: int


def harmonic(readings: Sequence[float], angles: Sequence[float] | None = None) -> Harmonic:
    """Mean and first harmonic of readings round a circle by least squares, and the form that remains.

    `angles` in radians clockwise from 12:00; without them the readings are equally spaced. For n equally spaced
    readings a = 2/n sum y cos, b = 2/n sum y sin, eccentricity = hypot(a, b). Raises MeasureError for fewer than 5:
    with 4 an oval hides.
    """
    import numpy as np

    y = _clean(readings, 5, "an oval hides from fewer")
    even = [2 * math.pi * i / y.size for i in range(y.size)]
    turn = np.asarray(even if angles is None else angles, dtype=np.float64)
    if turn.shape != y.shape:
        raise MeasureError(f"{y.size} readings at {turn.size} angles; give one angle for each")
    design = _first_harmonic(turn)
    fit = np.linalg.pinv(design)
    mean, a, b = (float(c) for c in fit @ y)
    residuals = y - design @ np.array([mean, a, b])
    size = math.hypot(a, b)
    along = np.array([0.0, a, b]) / size if size else np.array([0.0, 1.0, 0.0])
    return Harmonic(
        n=y.size,
        mean=mean,
        eccentricity=size,
        direction=math.degrees(math.atan2(b, a)) % 360,
        run_out=float(np.ptp(y)),
        form=float(np.ptp(residuals)),
        residuals=tuple(float(r) for r in residuals),
        u_factor=float(np.linalg.norm(along @ fit)),
    )


def weights_of_eccentricity(y: Sequence[float], angles: Sequence[float]) -> tuple[float, list[float]]:
    """Eccentricity, and its change per unit of each reading."""
    import numpy as np

    fit = np.linalg.pinv(_first_harmonic(np.asarray(angles, dtype=float)))
    _, a, b = fit @ np.asarray(y, dtype=float)
    size = math.hypot(a, b)
    weights = (a * fit[1] + b * fit[2]) / size if size else fit[1]
    return size, [float(w) for w in weights]


def weights_of_form(y: Sequence[float], angles: Sequence[float]) -> tuple[float, list[float]]:
    """Form (spread of what mean and first harmonic leave), and its change per unit of each reading."""
    import numpy as np

    design = _first_harmonic(np.asarray(angles, dtype=float))
    leave = np.eye(len(y)) - design @ np.linalg.pinv(design)
    rest = leave @ np.asarray(y, dtype=float)
    weights = leave[int(rest.argmax())] - leave[int(rest.argmin())]
    return float(np.ptp(rest)), [float(w) for w in weights]


def twist(heights: Sequence[float]) -> float:
    """How far one corner of four is off the plane of the other three: h1 - h2 + h3 - h4, taking the corners in turn.

    For feet at the corners of a rectangle. Positive: the first and third corner are high.
    """
    if len(heights) != 4:
        raise MeasureError(f"twist takes 4 corners in turn, not {len(heights)}")
    a, b, c, d = (float(h) for h in heights)
    return a - b + c - d


def fit_circle(x: Sequence[float], y: Sequence[float]) -> Circle:
    """The circle with the least squared distances to the points: algebraic start, then Gauss-Newton.

    `x`, `y`: coordinates of at least three points in one unit. Raises MeasureError for fewer, or for points in line.
    """
    import numpy as np

    px, py = _clean(x, 3, "a circle needs three"), _clean(y, 3, "a circle needs three")
    if px.shape != py.shape:
        raise MeasureError(f"{px.size} x and {py.size} y; give both for every point")
    shift_x, shift_y = float(px.mean()), float(py.mean())
    u, v = px - shift_x, py - shift_y
    scale = float(np.hypot(u, v).max())
    design = np.column_stack([u, v, np.ones_like(u)])
    if not scale or np.linalg.matrix_rank(design / [scale, scale, 1.0], tol=1e-9) < 3:
        raise MeasureError("the points lie in one line; take them all round the circle")
    a, b, c = np.linalg.lstsq(design, u * u + v * v, rcond=None)[0]
    centre = np.array([a / 2, b / 2, math.sqrt(c + (a * a + b * b) / 4)])
    for _ in range(100):
        jacobian, away = _away(u, v, centre)
        step = np.linalg.lstsq(jacobian, -away, rcond=None)[0]
        centre = centre + step
        if np.abs(step).max() < 1e-14 * scale:
            break
    jacobian, away = _away(u, v, centre)
    dof = px.size - 3
    spread = np.linalg.inv(jacobian.T @ jacobian) * (float(away @ away) / dof) if dof else None
    ux, uy, ur = (None, None, None) if spread is None else (float(s) for s in np.sqrt(np.diag(spread)))
    cx, cy, r = (float(p) for p in centre)
    return Circle(px.size, cx + shift_x, cy + shift_y, r, float(np.ptp(away)), ux, uy, ur, dof)


def _away(
    u: NDArray[np.float64], v: NDArray[np.float64], centre: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Derivatives and values of the distances of the points from the circle."""
    import numpy as np

    du, dv = u - centre[0], v - centre[1]
    d = np.hypot(du, dv)
    return np.column_stack([-du / d, -dv / d, -np.ones_like(d)]), d - centre[2]


def _first_harmonic(angles: NDArray[np.float64]) -> NDArray[np.float64]:
    import numpy as np

    return np.column_stack([np.ones_like(angles), np.cos(angles), np.sin(angles)])


def _clean(values: Sequence[float], least: int, why: str) -> NDArray[np.float64]:
    import numpy as np

    y = np.asarray(values, dtype=float)
    if y.ndim != 1 or y.size < least:
        raise MeasureError(f"{y.size} readings; take at least {least}: {why}")
    if not np.isfinite(y).all():
        raise MeasureError("a reading is missing or no number; leave none out")
    return y
