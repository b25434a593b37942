"""Photographs of a sheet, small enough to stand in its page."""

from __future__ import annotations

import base64
import io
import warnings
from html import escape
from typing import TYPE_CHECKING

from restonb.bench._look import Shown, bullets
from restonb.record import PICTURES, Record
from restonb.stated import Build

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["photos", "small"]

WIDTH = 720


def photos(build: Build, record: Record, sheet: str, as_of: int | None) -> Shown:
    """Each photograph with its caption; one that is not where the record says is named."""
    figures, texts = [], []
    for entry in record.entries("photo", as_of=as_of):
        if entry.body["sheet"] != sheet:
            continue
        caption = " · ".join(t for t in (entry.body["caption"], entry.body["position"] or "", entry.at[:10]) if t)
        code = _of(build, entry.body["file"])
        if code:
            image = f'<img src="data:image/jpeg;base64,{code}" alt="{escape(caption)}" width="{WIDTH // 2}">'
        else:
            image = f"<em>{escape(entry.body['file'])} is missing</em>"
        figures.append(
            f'<figure style="display:inline-block;margin:0 1em .6em 0">{image}'
            f'<figcaption class="small">{escape(caption)}</figcaption></figure>'
        )
        texts.append(f"photo: {caption}")
    if not figures:
        return bullets(["no photograph kept with this sheet"], "todo")
    return Shown("".join(figures), "\n".join(texts))


def small(original: bytes) -> str:
    """JPEG in base64, turned upright, of the pixels alone: no place and no camera stay in it. '' if it is not a picture."""
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of what a camera wrote beside the pixels
            with Image.open(io.BytesIO(original), formats=PICTURES) as image:
                upright = _turned(image).convert("RGB")
                upright.thumbnail((WIDTH, WIDTH))
                out = io.BytesIO()
                upright.save(out, "JPEG", quality=82)
                return base64.b64encode(out.getvalue()).decode()
    except Exception:  # noqa: BLE001 - what is damaged can raise nearly anything
        return ""


def _turned(image: Image.Image) -> Image.Image:
    """As the camera says that it was held; as it is where that cannot be read."""
    from PIL import ImageOps

    try:
        return ImageOps.exif_transpose(image)
    except Exception:  # noqa: BLE001 - see above
        image.seek(0)
        return image


def _of(build: Build, file: str) -> str:
    """Of a file in photos/, wherever its entry says that it is: an entry may have come from somebody else."""
    home = build.photos.resolve()
    for path in (build.folder / file, build.photos / file):
        try:
            if path.resolve().is_relative_to(home) and path.is_file():
                return small(path.read_bytes())
        except (OSError, ValueError, RuntimeError):  # no name of a file, or links that go round
            continue
    return ""
