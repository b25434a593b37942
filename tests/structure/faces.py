"""The faces of the rooms that load nothing before it is asked for.

`python tests/structure/faces.py` writes the imports under TYPE_CHECKING from the table below them, so that to offer one name
more is one word in that table.
"""

from __future__ import annotations

import re
from importlib import import_module
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "restonb"
LAZY = ("charts", "handover", "measure", "record")
BLOCK = re.compile(r"^if TYPE_CHECKING:\n(?:    .*\n)+", re.MULTILINE)


def block_of_table(room: str) -> str:
    """What stands under TYPE_CHECKING, by the table of the room."""
    homes = import_module(f"restonb.{room}")._HOMES
    lines = [
        f"    from restonb.{room}.{module} import {name} as {name}\n"
        for module, names in sorted(homes.items())
        for name in sorted(names.split(), key=lambda name: (not name.isupper(), name[0].islower(), name))
    ]
    return "if TYPE_CHECKING:\n" + "".join(lines)


def block_in_file(room: str) -> str:
    """What stands there now."""
    found = BLOCK.search((PACKAGE / room / "__init__.py").read_text(encoding="utf-8"))
    return found[0] if found else ""


def main() -> None:
    for room in LAZY:
        path = PACKAGE / room / "__init__.py"
        path.write_text(
            BLOCK.sub(lambda _, room=room: block_of_table(room), path.read_text(encoding="utf-8"), count=1), "utf-8"
        )


if __name__ == "__main__":
    main()
