"""The document as a PDF: PDF/A-3a (for keeping) and PDF/UA-1 (for screen readers) at once, data files inside.

The page description is `report.typ`; what it says is handed over as a JSON file. Fonts come from the
typesetter itself and from matplotlib, never from the machine, so the same report gives the same bytes anywhere.
"""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

from restonb.errors import HandoverError
from restonb.handover.marks import MARKS

__all__ = ["STANDARDS", "Attachment", "write_pdf"]

STANDARDS: tuple[Literal["a-3a", "ua-1"], ...] = ("a-3a", "ua-1")

_FONTS = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
_LONG = re.compile(r"(\S{28})(?=\S)")


@dataclass(frozen=True, slots=True)
class Attachment:
    """A data file that travels inside the PDF. `path` is below the folder of the data."""

    path: str
    type: str
    what: str
    relation: str = "data"


def write_pdf(
    data: dict[str, Any], folder: Path, target: Path, made: datetime, attached: Sequence[Attachment] = ()
) -> None:
    """Draw a report (`as_data`) into `target`. Pictures and attachments are read from below `folder`.

    `made` is the time that the file states. Raises HandoverError when the typesetter refuses.
    """
    import typst

    with tempfile.TemporaryDirectory(prefix="restonb-pdf-", dir=folder) as work:
        here = Path(work)
        fonts = here / "fonts"
        fonts.mkdir()
        for name in _FONTS:
            shutil.copyfile(_font(name), fonts / name)
        shown = {**_printable(_rooted(data)), "attached": [_named(a) for a in attached]}
        (here / "report.json").write_text(json.dumps(shown, ensure_ascii=False), encoding="utf-8")
        (here / "marks.json").write_text(json.dumps(MARKS), encoding="utf-8")
        (here / "report.typ").write_bytes(files(__package__).joinpath("report.typ").read_bytes())
        try:
            typst.compile(
                str(here / "report.typ"),
                output=str(target),
                root=str(folder),
                font_paths=[str(fonts)],
                ignore_system_fonts=True,
                format="pdf",
                pdf_standards=list(STANDARDS),
                timestamp=made,
            )
        except typst.TypstError as error:
            reason = " ".join(error.message.split())
            raise HandoverError(f"the PDF could not be set: {reason}; make the export without it") from error


def _named(attachment: Attachment) -> dict[str, str]:
    """A file in a PDF has a plain name: some readers cannot save one with a folder in it."""
    name = attachment.path.rpartition("/")[2]
    return {**asdict(attachment), "path": f"/{attachment.path}", "name": f"/{name}"}


def _rooted(part: Any) -> Any:
    """The data with each picture's path made absolute below the typesetter's root."""
    if isinstance(part, dict):
        return {k: f"/{v}" if k == "file" else _rooted(v) for k, v in part.items()}
    if isinstance(part, list):
        return [_rooted(p) for p in part]
    return part


def _printable(part: Any) -> Any:
    """The data with characters that the fonts do not have written as their number, and long words breakable.

    An archivable PDF may hold no character without a drawing: the typesetter would refuse the whole document.
    """
    if isinstance(part, str):
        return _breakable("".join(c if c == "\n" or ord(c) in _drawn() else f"[U+{ord(c):04X}]" for c in part))
    if isinstance(part, dict):
        return {
            k: v if k in _VERBATIM else _printable(v[: _LONGEST[k]] if k in _LONGEST and isinstance(v, str) else v)
            for k, v in part.items()
        }
    if isinstance(part, list):
        return [_printable(p) for p in part]
    return part


_LONGEST = {"alt": 3000, "title": 300}
"""These also become single strings of the file, and an archivable PDF limits the length of those."""

_VERBATIM = frozenset({"file", "kind", "key", "mark", "tone", "language", "head_digest", "path", "code"})


def _breakable(text: str) -> str:
    if len(text) == 64 and " " not in text:  # a digest: to be copied whole
        return text
    return _LONG.sub("\\1\u200b", text)


@cache
def _drawn() -> frozenset[int]:
    from matplotlib.ft2font import FT2Font

    return frozenset(FT2Font(str(_font("DejaVuSans.ttf"))).get_charmap()) - frozenset(range(0x20))


def _font(name: str) -> Path:
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name
