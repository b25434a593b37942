"""What is entered in a live notebook, and what stands in its place in any other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from restonb.measure import derived

if TYPE_CHECKING:
    from restonb.bench.basis import Basis

__all__ = ["entry_grid", "opening", "sign_off"]


def entry_grid(sheet: Basis, characteristic: str, occasion: str, only: bool = False) -> Any | None:
    """The grid to type readings into; None where only a table can be shown.

    That is: the record is seen as of an earlier entry, or can only be read, or the row is worked out from others.
    """
    row = sheet.rows[characteristic]
    if sheet.as_of is not None or not sheet.record.writable or derived(row.positions):
        return None
    from restonb.bench.readings_grid.widget import EntryGrid  # ipywidgets is loaded where there is a kernel

    return EntryGrid(sheet, row, occasion, only)


def opening(sheet: Basis) -> Any | None:
    """The panel to say that a joint of this sheet was opened; None where nothing can be entered, or it relies on none."""
    live = not sheet.static and sheet.as_of is None and sheet.record.writable
    if not live or not sheet.build.joints.relied_on(sheet.key):
        return None
    from restonb.bench.joint_opened.widget import Opening

    return Opening(sheet)


def sign_off(sheet: Basis, joint: str) -> Any:
    """The stages of a joint to sign off; its pattern and a table where nothing can be entered."""
    sheet.build.joints.get(joint)
    if sheet.static or sheet.as_of is not None or not sheet.record.writable:
        from restonb.bench.sign_off.shown import joint_shown

        return joint_shown(sheet, joint)
    from restonb.bench.sign_off.widget import SignOff

    return SignOff(sheet, joint)
