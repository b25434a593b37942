"""Playing a story back: dated events from text files, entered through the same functions that a person uses."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

from restonb import record as room
from restonb.cli.common import tally
from restonb.errors import RestonbError, RunError
from restonb.log import Kernels, run, templates
from restonb.record import Record
from restonb.stated import Build

__all__ = ["events", "replay"]

Told = Callable[[str], None]


def events(folder: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every event of the story files in `folder`, in order, with the place that it was read from."""
    for path in sorted(folder.glob("*.toml")):
        for number, event in enumerate(tomllib.loads(path.read_text(encoding="utf-8")).get("event", []), 1):
            yield f"{path.name}, event {number}", event


def replay(build: Build, story: Path, told: Told) -> Record:
    """Enter every event at its own time; the record is left open for the caller. A mistake names its event."""
    now = datetime.min

    def clock() -> datetime:
        return now

    record = Record.open(build, clock=clock)
    with Kernels(prepared=True) as kernels:
        for place, event in events(story):
            now, kind = event.pop("at"), event.pop("kind")
            try:
                if kind == "run":
                    _run(build, record, kernels, told, **event)
                else:
                    _enter(build, record, kind, event, story)
            except (RestonbError, TypeError) as error:
                record.close()
                raise RestonbError(f"{place} ({kind} of {now:%Y-%m-%d}): {error}") from error
    return record


def _enter(build: Build, record: Record, kind: str, event: dict[str, Any], story: Path) -> None:
    match kind:
        case "reading":
            room.enter_readings(
                record, build, event.pop("sheet"), event.pop("characteristic"), event.pop("values"), **event
            )
        case "strike":
            room.enter_strike(record, _newest(record, event["of"]), event["why"])
        case "joint":
            if each := event.pop("each", None):
                event["fasteners"] = _each(build, event["joint"], each)
            room.enter_joint(record, build, **event)
        case "photo":
            room.enter_photo(record, build, story / event.pop("file"), **event)
        case "usage":
            room.enter_usage(record, **event)
        case _:
            getattr(room, f"enter_{kind}")(record, build, **event)


def _newest(record: Record, of: dict[str, str]) -> int:
    """The newest reading at that place that is not struck yet."""
    found = [r for r in room.readings(record, of["sheet"], of["characteristic"]) if r.position == of["position"]]
    if not found:
        raise RestonbError(f"there is no reading at {of}")
    return found[-1].seq


def _each(build: Build, joint: str, torque: str) -> list[dict[str, Any]]:
    """The same torque at every fastener of the joint, each with its own group's treatment."""
    known = build.joints.get(joint)
    treatments = [group.treatment or known.treatment for group in known.fasteners for _ in range(group.count)]
    return [
        {"position": position, "torque": torque, "treatment": treatment}
        for position, treatment in zip(known.positions, treatments, strict=True)
    ]


def _run(
    build: Build,
    record: Record,
    kernels: Kernels,
    told: Told,
    template: str,
    parameters: dict[str, Any] | None = None,
) -> None:
    if template not in {t.name for t in templates(build)}:
        told(f"{template}: no such template yet")
        return
    done = run(build, record, template, parameters, kernels=kernels)
    told(f"{done.at[:10]}  {done.template}: {tally(done) if done.good else 'failed: ' + done.reason}")
    if not done.good:
        raise RunError(f"{done.template} failed: {done.reason}")
