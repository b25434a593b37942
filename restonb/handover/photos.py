"""Photographs to hand over: upright, of a sensible size, and without the place, the camera or the time in the file.

Each is read, turned as its EXIF says, and encoded anew from its pixels alone: nothing else can come along.
"""

from __future__ import annotations

import hashlib
import os
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from math import ceil
from pathlib import Path

from restonb.record import PICTURES

__all__ = ["Derived", "derive_all"]

LARGE, SMALL = 2048, 720
"""Longest side in pixels, at most: of the copy that goes along, and of the one that stands in the documents."""

_ENOUGH = 1600
"""A JPEG can be decoded at a half or a quarter of its size, which is quick: that will do if it leaves so many pixels."""

_AHEAD = 8
"""Copies under way at a time, so that two thousand photographs take no more memory than a few."""

_SCALES_WELL = ("RGB", "L", "CMYK")
"""Kinds of picture whose neighbouring points can be averaged; the others are made one of these first."""

Job = tuple[Path, str, Path, Path | None]


@dataclass(frozen=True, slots=True)
class Derived:
    """`fault` says why there is no picture, or that the original is not the file that was recorded."""

    file: str
    sha256: str
    fault: str


def derive_all(jobs: Iterable[Job]) -> Iterator[Derived]:
    """For each (original, recorded SHA-256, large copy, small copy or None) write the copies, in order; on several threads."""
    under_way: deque[Future[Derived]] = deque()
    with ThreadPoolExecutor(max_workers=min(4, os.cpu_count() or 1)) as pool:
        for job in jobs:
            under_way.append(pool.submit(_derive, job))
            if len(under_way) == _AHEAD:
                yield under_way.popleft().result()
        while under_way:
            yield under_way.popleft().result()


def _derive(job: Job) -> Derived:
    original, recorded, large, small = job
    try:
        with original.open("rb") as file:
            own = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return Derived("", "", "the file is missing")
    try:
        _encode(original, large, small)
    except Exception:  # noqa: BLE001 - a damaged picture can raise nearly anything; it must not end the export
        large.unlink(missing_ok=True)
        if small:
            small.unlink(missing_ok=True)
        return Derived(
            "", "", "the file cannot be read as a picture: save it as JPEG (a phone's HEIC too) and enter that"
        )
    fault = "" if own == recorded else "the file is not the one that was recorded"
    with large.open("rb") as file:
        return Derived(large.name, hashlib.file_digest(file, "sha256").hexdigest(), fault)


def _encode(original: Path, large: Path, small: Path | None) -> None:
    from PIL import Image, ImageOps

    with Image.open(original, formats=PICTURES) as opened:
        share = min(1.0, _ENOUGH / max(opened.size))
        opened.draft(None, (ceil(opened.width * share), ceil(opened.height * share)))
        picture = opened if opened.mode in _SCALES_WELL else opened.convert("RGB")
        picture.thumbnail((LARGE, LARGE))
        upright = ImageOps.exif_transpose(picture).convert("RGB")
    # A new picture of the pixels alone: what the file said of itself stays behind.
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    bare.save(large, "JPEG", quality=84)
    if small:
        bare.thumbnail((SMALL, SMALL))
        bare.save(small, "JPEG", quality=76)
