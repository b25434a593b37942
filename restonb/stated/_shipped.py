"""Where the folders that come with the package are."""

from __future__ import annotations

from pathlib import Path

import restonb
from restonb.errors import BuildError

__all__ = ["shipped"]


def shipped(name: str) -> Path:
    """The folder 'notebooks' or 'data_demo': inside the installed package, or beside it in a checkout.

    Raises BuildError when the installation has neither.
    """
    package = Path(restonb.__file__).resolve().parent
    for place in (package / "_shipped" / name, package.parent / name):
        if place.is_dir():
            return place
    raise BuildError(f"the folder {name!r} did not come with this installation; install restonb again")
