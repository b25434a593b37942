"""Keeping an original: copied once, named by its content, never written over."""

from __future__ import annotations

import os
import re
import warnings
from hashlib import file_digest
from pathlib import Path

from restonb.errors import RecordError

__all__ = ["PICTURES", "check_picture", "keep"]

PICTURES = ("BMP", "GIF", "JPEG", "PNG", "TIFF", "WEBP")
"""What is opened as a picture, by Pillow's names. No others: a PostScript file, say, is a program, and would be run."""

_OF_PHONES = frozenset((b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1"))
"""How an HEIC file says what it is, after 'ftyp'."""


def check_picture(original: Path) -> None:
    """Raises RecordError, saying what to do, where a file is no picture that can be shown later; keeps nothing."""
    from PIL import Image

    try:
        with original.open("rb") as file:
            start = file.read(12)
        if not start:
            raise RecordError(f"{original.name} is empty: take the photo again")
        if start[4:8] == b"ftyp" and start[8:] in _OF_PHONES:
            raise RecordError(f"{original.name} is an HEIC picture, which cannot be shown here: save it as JPEG")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # a camera of 100 million pixels is none
            with Image.open(original, formats=PICTURES) as picture:
                picture.draft("RGB", (64, 64))  # a JPEG is read to its end all the same, in less time
                picture.load()
    except RecordError:
        raise
    except Exception as error:  # noqa: BLE001 - what is damaged can raise nearly anything
        if isinstance(error, OSError) and error.strerror:
            words = f"{original.name} cannot be read ({error.strerror}): write the path of a photo"
            raise RecordError(words) from None
        known = "JPEG, PNG, WebP, TIFF, GIF or BMP"
        raise RecordError(f"{original.name} is no whole picture: choose a photo, saved as {known}") from None


def keep(original: Path, folder: Path) -> tuple[str, str]:
    """Copy a file into `folder`. Gives its name there (SHA-256 of its content, and suffix) and the digest.

    Raises RecordError if it cannot be read, or the folder cannot be written.
    """
    try:
        with original.open("rb") as file:
            digest = file_digest(file, "sha256").hexdigest()
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
