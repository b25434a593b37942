"""What appears in a notebook: `sheet = bench.sheet("gearbox_mounting")`, and everything that a sheet shows."""

from restonb.bench import given
from restonb.bench._serve import serve
from restonb.bench.sheet import Sheet, sheet

__all__ = ["Sheet", "given", "serve", "sheet"]
