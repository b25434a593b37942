"""Which job outside an entry of work belongs to: it leaves, comes back, and is accepted, each told in as few words as will do."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

__all__ = ["Job", "job_of"]

Job = tuple[str | None, ...]
"""What, where, sheet and joint; None where nothing was entered."""


def job_of(body: Mapping[str, Any], known: Collection[Job]) -> Job:
    """The job that an entry belongs to: where it leaves out where, sheet or joint, the one job that fits what it says."""
    said = tuple(body[key] or None for key in ("what", "where", "sheet", "joint"))
    fits = [job for job in known if all(a is None or a == b for a, b in zip(said, job, strict=True))]
    return fits[0] if said not in known and len(fits) == 1 else said
