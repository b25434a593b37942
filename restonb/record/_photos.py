"""Keeping an original: copied once, named by its content, never written over."""

from __future__ import annotations

import os
import re
from hashlib import file_digest
from pathlib import Path

from restonb.errors import RecordError

__all__ = ["PICTURES", "keep"]

PICTURES = ("BMP", "GIF", "JPEG", "PNG", "TIFF", "WEBP")
"""What is opened as a picture, by Pillow's names. No others: a PostScript file, say, is a program, and would be run."""


def keep(original: Path, folder: Path) -> tuple[str, str]:
    """Copy a file into `folder`. Gives its name there (SHA-256 of its content, and suffix) and the digest.

    Raises RecordError if it cannot be read, is empty, or the folder cannot be written.
    """
    try:
        with original.open("rb") as file:
            digest = file_digest(file, "sha256").hexdigest()
        if not original.stat().st_size:
            raise RecordError(f"{original.name} is empty: take the photo again")
        suffix = original.suffix.lower()
        name = digest + (suffix if re.fullmatch(r"\.[a-z0-9]{1,8}", suffix) else "")
        target = folder / name
        if not target.exists():
            folder.mkdir(exist_ok=True)
            _copy(original, target)
    except OSError as error:
        words = f"{original.name} cannot be kept ({error.strerror}): write the path of a photo"
        raise RecordError(words) from None
    return name, digest


def _copy(original: Path, target: Path) -> None:
    """Whole and on disk, or not there at all."""
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with original.open("rb") as source, part.open("wb") as sink:
            while block := source.read(1 << 20):
                sink.write(block)
            sink.flush()
            os.fsync(sink.fileno())
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
