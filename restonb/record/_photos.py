"""Keeping an original: copied once, named by its content."""

from __future__ import annotations

import os
import re
import warnings
from hashlib import sha256
from pathlib import Path
from typing import IO

from restonb.errors import RecordError
from restonb.record.ondisk import digest_of_file, settle, sweep, unfinished

__all__ = ["PICTURES", "check_picture", "keep"]

PICTURES = ("BMP", "GIF", "JPEG", "PNG", "TIFF", "WEBP")
"""What is opened as a picture, by Pillow's names. No others: a PostScript file, say, is a program, and would be run."""

_OF_PHONES = frozenset((b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1"))
"""How an HEIC file says what it is, after 'ftyp'."""


def check_picture(original: Path) -> None:
    """Raises RecordError, saying what to do, where a file is not a picture that can be shown later; keeps nothing."""
    from PIL import Image

    try:
        with original.open("rb") as file:
            start = file.read(12)
        if not start:
            raise RecordError(f"{original.name} is empty: take the photo again")
        if start[4:8] == b"ftyp" and start[8:] in _OF_PHONES:
            raise RecordError(f"{original.name} is an HEIC picture, which cannot be shown here: save it as JPEG")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a camera of 100 million pixels is not a bomb, nor is its Exif the picture
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
        raise RecordError(f"{original.name} is not a whole picture: choose a photo, saved as {known}") from None


def keep(original: Path, folder: Path) -> tuple[str, str]:
    """Copy a file into `folder`. Gives its name there (SHA-256 of its content, and suffix) and the digest; both the file
    and its name are on disk by then.

    Raises RecordError if it cannot be read, or the folder cannot be written.
    """
    try:
        source = original.open("rb")
    except OSError as error:
        words = f"{original.name} cannot be read ({error.strerror}): write the path of a photo"
        raise RecordError(words) from None
    suffix = original.suffix.lower()
    suffix = suffix if re.fullmatch(r"\.[a-z0-9]{1,8}", suffix) else ""
    try:
        with source:
            if not folder.is_dir():
                folder.mkdir(exist_ok=True)
                settle(folder.parent)
            sweep(folder)
            with unfinished(folder) as part:
                digest = _copied(source, part / "photo")
                target = folder / (digest + suffix)
                if not _is_kept(target, digest):
                    (part / "photo").replace(target)
            settle(folder)
    except OSError as error:
        words = f"{original.name} cannot be kept ({error.strerror}): check the disk and enter it again"
        raise RecordError(words) from None
    return target.name, digest


def _copied(source: IO[bytes], target: Path) -> str:
    """On disk, and the digest of what is there: the original may still be changing."""
    digest = sha256()
    with target.open("xb") as sink:
        while block := source.read(1 << 20):
            digest.update(block)
            sink.write(block)
        sink.flush()
        os.fsync(sink.fileno())
    return digest.hexdigest()


def _is_kept(target: Path, digest: str) -> bool:
    """Whether it is there already and whole. One that was damaged since is put right by its original."""
    return target.is_file() and digest_of_file(target) == digest
