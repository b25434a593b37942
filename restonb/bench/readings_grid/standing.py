"""What stands at each place of one characteristic, as the page shows it. Read from the record every time."""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from restonb.bench._evidence import Spoiled, split_spoiled
from restonb.bench._look import KINDS
from restonb.measure import Characteristic, Reading, Verdict, check, expand, layout, limits_text, repeats_in, value_text
from restonb.quantity import Quantity, same_kind, write
from restonb.record import SHAPES, STANDARD_OCCASIONS, far_off_remark

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["RowStanding", "chip_of"]


@dataclass(frozen=True)
class RowStanding:
    """The readings of one occasion, and beside them what was there before."""

    sheet: Basis
    row: Characteristic
    occasion: str

    @classmethod
    def opened(cls, sheet: Basis, row: Characteristic, occasion: str) -> RowStanding:
        """On the occasion of the newest reading that counts; where none does, on the one that the sheet asks for."""
        good, _ = split_spoiled(sheet.evidence.in_force(row.key), sheet.evidence.disturbed())
        newest = max(good, key=lambda r: r.seq, default=None)
        return cls(sheet, row, newest.occasion if newest else occasion)

    def page(self) -> dict[str, Any]:
        """Everything that the page needs to draw the grid."""
        row, plan = self.row, layout(self.row.positions)
        return {
            "what": row.what or row.key,
            "limits": _limits(row),
            "safety": row.safety,
            "unit": row.unit,
            "kind": plan.kind,
            "places": [{"name": p.name, "x": p.x, "y": p.y, "row": p.row, "column": p.column} for p in plan.places],
            "rows": list(plan.rows),
            "columns": list(plan.columns),
            "occasion": self.occasion,
            "occasions": self._occasions(),
            "instrument": row.instrument or "",
            "instruments": self._instruments(),
            "cells": self.cells(),
            "tally": self.tally(),
            "store": f"{row.sheet}/{row.key}/{zlib.crc32(str(self.sheet.build.record_path).encode()):08x}",
        }

    def cells(self) -> dict[str, dict[str, Any]]:
        """Position -> what its field shows."""
        causes = self.sheet.evidence.disturbed()
        newest = {r.position: r for r in self.sheet.evidence.in_force(self.row.key)}
        good, spoiled = split_spoiled(self.sheet.evidence.in_force(self.row.key, self.occasion), causes)
        verdicts = self._verdicts(good)
        found = {r.position: r for r in good}
        return {
            place: self._cell(found.get(place), verdicts.get(place), newest.get(place), spoiled.get((self.row.key, place)), causes)
            for place in expand(self.row.positions)
        }  # fmt: skip

    def cell(self, position: str) -> dict[str, Any]:
        """What the field of one position shows, without judging all the others."""
        causes = self.sheet.evidence.disturbed()
        newest = {r.position: r for r in self.sheet.evidence.in_force(self.row.key)}
        good, spoiled = split_spoiled(self.sheet.evidence.in_force(self.row.key, self.occasion), causes)
        mine = [r for r in good if r.position == position]
        verdicts = self._verdicts(mine)
        return self._cell(
            mine[0] if mine else None, verdicts.get(position), newest.get(position),
            spoiled.get((self.row.key, position)), causes,
        )  # fmt: skip

    def tally(self) -> dict[str, Any]:
        """How many places are measured on this occasion; of repeats, the verdict on their mean."""
        causes = self.sheet.evidence.disturbed()
        good, _ = split_spoiled(self.sheet.evidence.in_force(self.row.key, self.occasion), causes)
        told: dict[str, Any] = {"measured": len(good), "of": len(expand(self.row.positions))}
        if repeats_in(self.row.positions) is not None and good:
            means = [
                f"{v.position}: {value_text(v)}, {v.verdict}" + (f"; {v.settle}" if v.settle else "")
                for v in self._check(good)
                if v.value is not None
            ]
            told["mean"] = "; ".join(means)
        return told

    def judged(self) -> list[Verdict]:
        """Verdicts on this occasion, for a chart."""
        good, _ = split_spoiled(
            self.sheet.evidence.in_force(self.row.key, self.occasion), self.sheet.evidence.disturbed()
        )
        return list(self._check(good))

    def _check(self, readings: Iterable[Reading]) -> Iterable[Verdict]:
        build = self.sheet.build
        return check(self.row, list(readings), build.instruments, build.rule)

    def _verdicts(self, readings: list[Reading]) -> dict[str, Verdict]:
        if repeats_in(self.row.positions) is not None:
            return {}  # repeats get one verdict together: see the tally
        return {v.position: v for v in self._check(readings)} if readings else {}

    def _cell(
        self,
        reading: Reading | None,
        verdict: Verdict | None,
        newest: Reading | None,
        spoiled: tuple[Reading, Spoiled] | None,
        causes: list[Spoiled],
    ) -> dict[str, Any]:
        cell: dict[str, Any] = {"typed": "", "seq": 0, "echo": "", "verdict": None, "note": ""}
        if reading is not None:
            cell |= {"typed": reading.typed, "seq": reading.seq, "echo": f"read as {self._reading_text(reading)}"}
            cell["about"] = ", ".join(t for t in (self._gauge(reading), reading.at[:10]) if t)
            strange = far_off_remark(self.row, reading.value, reading.unit, reading.at, reading.resolution)
            cell["remark"] = f"look again: {strange}" if strange else ""
            notes = [str(cell["remark"])]
            if verdict is not None:
                cell["verdict"] = chip_of(verdict.word)
                notes += [verdict.settle, verdict.note]
            cell["note"] = "; ".join(note for note in notes if note)
        elif spoiled is not None:
            was, cause = spoiled
            cell["note"] = f"{cause}; it was {self._reading_text(was)}"
        if newest is not None and newest.occasion != self.occasion and (reading is None or newest.seq > reading.seq):
            again = split_spoiled([newest], causes)[1]
            why = f", to be {next(iter(again.values()))[1]}" if again else ""
            cell["note"] = "; ".join(
                t for t in (cell["note"], f"{newest.occasion}: {self._reading_text(newest)}{why}") if t
            )
        return cell

    def _reading_text(self, reading: Reading) -> str:
        """In the unit of the row; converted, with the digits that show what was read, not only those that it deserves."""
        quantity = Quantity(reading.value, reading.unit, reading.typed, reading.resolution)
        if reading.unit == self.row.unit:
            return quantity.write()
        return write(float(f"{quantity.to(self.row.unit).value:.6g}"), self.row.unit)

    def _gauge(self, reading: Reading) -> str:
        known = self.sheet.build.instruments.get(reading.instrument or "")
        return known.what or known.key if known else reading.instrument or ""

    def _occasions(self) -> list[str]:
        used = [r.occasion for r in self.sheet.evidence.all(self.row.key)]
        return list(dict.fromkeys((*STANDARD_OCCASIONS, *used, self.occasion)))

    def _instruments(self) -> list[list[str]]:
        """Key and name; only gauges that read this kind of quantity, the spec row's in any case."""
        known = self.sheet.build.instruments
        fit = [k for k, g in known.items() if k == self.row.instrument or same_kind(g.unit, self.row.unit)]
        return [["", "not stated"], *([k, known[k].what or k] for k in fit if k in known)]


def chip_of(word: str) -> dict[str, str]:
    """A verdict in word, shape and class of its style."""
    return {"word": word, "shape": SHAPES.get(word, "◇"), "kind": KINDS.get(word, word.replace(" ", "-"))}


def _limits(row: Characteristic) -> str:
    limits = limits_text(Verdict(row, "", "not measured"))
    if limits == "none":
        return "no limit given"
    return f"limit {limits} ({row.source or 'no source given'})"
