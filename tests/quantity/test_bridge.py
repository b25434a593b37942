"""Going over to pint and back, without letting it read what a person typed."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from restonb.errors import QuantityError
from restonb.quantity import Quantity, as_pint, from_pint, read, units


@pytest.mark.parametrize("name", units())
def test_there_and_back(name: str) -> None:
    back = from_pint(as_pint(Quantity(12.5, name)), name)
    assert (back.value, back.unit) == (pytest.approx(12.5, rel=1e-12), name)


def test_pint_converts_as_we_do() -> None:
    torque = as_pint(read("18 ft-lb"))
    assert from_pint(torque, "N m").value == pytest.approx(read("18 ft-lb").to("N m").value, rel=1e-12)
    assert from_pint(as_pint(read("20 degC")), "degF").value == pytest.approx(68.0)
    assert from_pint(as_pint(read("1 mm")) + as_pint(read("1 in")), "mm").value == pytest.approx(26.4)


def test_other_dimensions_and_arrays_are_refused() -> None:
    with pytest.raises(QuantityError, match="this value cannot become V"):
        from_pint(as_pint(read("1 mm")), "V")
    with pytest.raises(QuantityError, match="only one number"):
        from_pint(as_pint(read("1 mm")) * np.array([1.0, 2.0]), "mm")


def test_the_room_starts_with_the_standard_library_alone() -> None:
    code = (
        "import sys; import restonb.quantity as q; q.read('0.25 mm').to('in').write(); q.read_thread('M8');"
        "print(sorted({name.split('.')[0] for name in sys.modules} - set(sys.stdlib_module_names)))"
    )
    done = subprocess.run([sys.executable, "-I", "-S", "-c", f"import sys; sys.path[:0] = {sys.path!r}; {code}"],
                          capture_output=True, text=True, check=True)  # fmt: skip
    assert set(done.stdout.strip()[1:-1].replace("'", "").split(", ")) <= {"__main__", "restonb"}
