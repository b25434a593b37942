"""One table of materials, whose standing is read and shown."""

from __future__ import annotations

import pytest

from restonb.errors import QuantityError
from restonb.formulas import fits
from restonb.formulas.fits import interference
from restonb.quantity import material, materials


# Means for 20 to 100 degC in 1e-6/K, and modulus in GPa, as handbooks give them; these spread by some percent.
@pytest.mark.recalled("Machinery's Handbook, tables of physical constants; textbook tables of engineering materials")
@pytest.mark.parametrize(
    ("name", "expansion", "modulus"),
    [
        ("steel", 11.7, 205), ("bearing steel", 12.5, 208), ("grey iron", 10.6, 110), ("ductile iron", 11.6, 169),
        ("aluminium", 23.4, 70), ("cast aluminium", 21.5, 71), ("magnesium", 26, 45), ("brass", 20.3, 103),
        ("bronze", 17.9, 110), ("copper", 16.8, 117), ("stainless steel", 16.6, 193), ("titanium", 8.9, 110),
    ],
)  # fmt: skip
def test_it_is_within_the_spread_of_handbooks(name: str, expansion: float, modulus: float) -> None:
    one = material(name)
    assert one.expansion * 1e6 == pytest.approx(expansion, rel=0.05)
    assert one.modulus / 1000 == pytest.approx(modulus, rel=0.05)
    assert 0.25 <= one.poisson <= 0.36


def test_every_row_says_where_it_comes_from_and_how_it_stands() -> None:
    assert all(one.source and one.standing in ("seen", "recalled") for one in materials().values())
    assert {one.standing for one in materials().values()} == {"seen", "recalled"}


def test_other_names_are_one_material_and_a_strange_one_is_told_those_there_are() -> None:
    assert material("Cast iron") is material("grey cast iron") is material("grey iron")
    assert material("aluminum") is material("aluminium")
    with pytest.raises(QuantityError, match="no material 'pot metal' in the table: write one of steel"):
        material("pot metal")


def test_what_is_recalled_is_shown_so_where_it_is_used() -> None:
    answer = interference(100.0, 100.0, "aluminium", "bearing steel", 35, 20)
    text = answer.working()
    assert "aluminium (expansion 23.5 µm/(m K), handbook mean, recalled)" in text
    assert "bearing steel (expansion 12.5 µm/(m K), handbook mean)" in text
    assert "recalled" in answer._repr_html_()
    assert answer.data()["given"]["hole_material"]["stands_for"].endswith("recalled")
    assert set(fits.interference.words("hole_material")) == set(materials())
