"""The plain sheet at the bench: one grid for each row that is measured, and what is typed into any of them is taken."""

import pytest

pytestmark = pytest.mark.browser


def test_every_row_has_its_grid_and_takes_a_reading(stand, bench, until):
    at = stand("each", "sheet.measure_each()", run=False)
    at.open(grids=10)
    assert at.page.locator(".restonb-grid").count() == len(bench.build.specs.sheet("toy"))
    field = at.grid("gap of the plug").locator(".field input").first
    field.click()
    at.page.keyboard.type("0.62")
    at.page.keyboard.press("Enter")
    until(lambda: ("once", "0.62") in bench.entered("plug"))
