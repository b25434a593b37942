"""The joints, what rests on what, and where they stand: as lines, and drawn."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from restonb.errors import RestonbError
from restonb.record import Standing
from restonb.stated import Build

__all__ = ["MARKS", "draw", "lines"]

MARKS = {
    "settled": "+", "to do": ">", "not known": "*", "out of date": "~", "in doubt": "?", "measure again": "!", "not run": "-",
    "failed": "x", "outside": "#", "stop": "X",
}  # fmt: skip
"""A shape beside each word, so that a narrow glance finds what matters."""


def draw(build: Build, found: Standing, path: Path) -> str:
    """Draw the joints into an SVG file."""
    from restonb.charts import joint_tree, svg

    if path.suffix.lower() != ".svg":
        raise RestonbError(f"'{path}' does not name a drawing; write a name that ends in .svg, such as joints.svg")
    if not path.parent.is_dir():
        raise RestonbError(f"there is no folder {path.parent}; make it first, or name another")
    if not build.joints.joints:
        raise RestonbError(f"there is nothing to draw yet; write joints into {build.folder / 'joints.toml'}")
    figure = joint_tree(build.joints, found.joints, found.sheets, date=found.on, what=build.name)
    path.write_text(svg(figure), encoding="utf-8")
    return f"drawn into {path}"


def lines(build: Build, found: Standing) -> Iterator[str]:
    """Every joint below what it rests on. One that rests on several stands in full below the first of them."""
    joints = build.joints.joints
    above: dict[str, list[str]] = {key: [] for key in joints}
    for key, joint in joints.items():
        for below in joint.rests_on:
            above[below].append(key)
    sheets: dict[str, list[str]] = {key: [] for key in joints}
    for sheet, relied in build.joints.sheets.items():
        for key in relied:
            sheets[key].append(sheet)
    shown: set[str] = set()

    def branch(key: str, lead: str, next_lead: str) -> Iterator[str]:
        state = found.joints[key].state or "no state entered"
        if key in shown:
            yield f"{lead}{key}: {state} (above)"
            return
        shown.add(key)
        results = [f"{MARKS[r.word]} {r.sheet} ({r.word})" for s in sheets[key] if (r := found.sheets.get(s))]
        yield f"{lead}{key}: {state}" + (f"   {', '.join(results)}" if results else "")
        for i, child in enumerate(above[key]):
            last = i == len(above[key]) - 1
            yield from branch(child, next_lead + ("└─ " if last else "├─ "), next_lead + ("   " if last else "│  "))

    for key, joint in joints.items():
        if not joint.rests_on:
            yield from branch(key, "", "")
