"""The clerk behind the grid: takes what the page sends, answers with what is in the record. It keeps nothing; the record does."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from restonb.bench._answers import answered
from restonb.bench.readings_grid.standing import RowStanding
from restonb.errors import RestonbError
from restonb.measure import Characteristic
from restonb.record import enter_reading, enter_strike

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["Desk"]

_FIRST = "as found"
"""What a sheet asks for where it does not say: then what was measured last is shown, whatever its occasion."""
_MOST = 64 << 20
"""Bytes of a photograph: more than any camera of a tablet makes."""


class Desk:
    """One characteristic of one sheet at the bench.

    Every message has a `type` and an `id`, and gets exactly one answer with that `id`. A reading is answered
    'taken' when it is on disk, never before; anything that cannot be done is answered 'refused', with the reason.
    """

    def __init__(self, sheet: Basis, row: Characteristic, occasion: str, only: bool = False) -> None:
        self.sheet, self.row, self.asked, self.only = sheet, row, occasion, only
        self._photo: list[bytes] = []

    def answer(self, message: dict[str, Any], buffers: Sequence[Any] = ()) -> dict[str, Any]:
        """What to send back for one message of the page."""
        able: dict[str, Callable[[], dict[str, Any]]] = {
            "open": lambda: self._open(message.get("occasion")),
            "enter": lambda: self._enter(message),
            "strike": lambda: self._strike(message),
            "temperature": lambda: self._temperature(str(message["typed"])),
            "bars": lambda: self._bars(str(message["occasion"])),
            "photo": lambda: self._take_photo(message, buffers),
        }
        return answered(message, able, carried=("position",))

    def _open(self, occasion: str | None) -> dict[str, Any]:
        if occasion or self.only or self.asked != _FIRST:
            return {"type": "page", **RowStanding(self.sheet, self.row, occasion or self.asked).page()}
        return {"type": "page", **RowStanding.opened(self.sheet, self.row, self.asked).page()}

    def _enter(self, message: dict[str, Any]) -> dict[str, Any]:
        entry = enter_reading(
            self.sheet.record, self.sheet.build, self.row.sheet, self.row.key, message["position"], message["typed"],
            occasion=message["occasion"], instrument=message.get("instrument"),
            temperature=message.get("temperature") or None,
        )  # fmt: skip
        standing = RowStanding(self.sheet, self.row, entry.body["occasion"])
        place = entry.body["position"]
        return {
            "type": "taken", "position": place, "seq": entry.seq, "occasion": entry.body["occasion"],
            "cell": standing.cell(place), "tally": standing.tally(),
        }  # fmt: skip

    def _strike(self, message: dict[str, Any]) -> dict[str, Any]:
        reading = self.sheet.record.entry(int(message["seq"]))
        mine = (self.row.sheet, self.row.key)
        if reading is None or (reading.body.get("sheet"), reading.body.get("characteristic")) != mine:
            raise RestonbError("there is no such reading here; open the sheet again")
        enter_strike(self.sheet.record, reading.seq, str(message["why"]))
        standing = RowStanding(self.sheet, self.row, str(message["occasion"]))
        place = reading.body["position"]
        return {"type": "struck", "position": place, "cell": standing.cell(place), "tally": standing.tally()}

    def _temperature(self, typed: str) -> dict[str, Any]:
        from restonb.quantity import read

        if not typed.strip():
            return {"type": "temperature", "echo": ""}
        return {"type": "temperature", "echo": f"read as {read(typed, 'degC').to('degC').write()}"}

    def _bars(self, occasion: str) -> dict[str, Any]:
        from restonb.measure import Verdicts

        rows = RowStanding(self.sheet, self.row, occasion).judged()
        if all(v.value is None for v in rows):
            return {"type": "bars", "svg": "", "alt": "nothing is measured yet"}
        if self.row.unit == "date":
            return {
                "type": "bars",
                "svg": "",
                "alt": "a date is not drawn; its age is judged where the sheet is checked",
            }
        from restonb.charts import describe, svg, tolerance_bars

        figure = tolerance_bars(Verdicts(tuple(rows)))
        return {"type": "bars", "svg": svg(figure), "alt": describe(figure)}

    def _take_photo(self, message: dict[str, Any], buffers: Sequence[Any]) -> dict[str, Any]:
        """One part of a photograph; with the last one it is kept, as it is, and shown small."""
        from restonb.bench._photos import small
        from restonb.record import enter_photo

        part, parts = int(message["part"]), int(message["parts"])
        if part == 0:
            self._photo = []
        self._photo += [bytes(b) for b in buffers]
        if sum(map(len, self._photo)) > _MOST:
            self._photo = []
            raise RestonbError(f"the photo is larger than {_MOST >> 20} MB; take a smaller one")
        if part + 1 < parts:
            return {"type": "part", "part": part}
        whole, self._photo = b"".join(self._photo), []
        picture = small(whole)
        if not picture and whole[4:8] != b"ftyp":  # a format of cameras that is kept, though it cannot be shown here
            raise RestonbError(f"{message['name']} is not a picture; choose a photo")
        with tempfile.TemporaryDirectory() as folder:
            original = Path(folder) / (Path(str(message["name"])).name or "photo.jpg")
            original.write_bytes(whole)
            caption = str(message.get("caption") or self.row.what)
            entry = enter_photo(
                self.sheet.record, self.sheet.build, original, caption, self.row.sheet, message.get("position")
            )
        return {"type": "kept", "seq": entry.seq, "picture": picture, "caption": caption}
