"""Readings typed at the bench: by keyboard alone, in bursts, wrongly, and while the kernel dies."""

import os
import signal
import time

import pytest

pytestmark = pytest.mark.browser


def start_in(grid):
    grid.locator(".field input").first.click()


def type_in(page, *values):
    for value in values:
        page.keyboard.type(value)
        page.keyboard.press("Enter")


def test_forty_readings_by_keyboard_alone_are_digits_and_enter(stand, bench):
    at = stand("forty", 'sheet.measure("teeth")')
    grid = at.grid("length over the teeth")
    start_in(grid)
    values = [f"{20 + n / 100:.2f}" for n in range(40)]
    type_in(at.page, *values)
    at.taken(grid, 40)
    assert bench.entered("teeth") == [(f"tooth {n}", v) for n, v in enumerate(values, 1)]
    assert "40 of 40 measured" in grid.locator(".count").text_content()
    # The cursor has left the fields: what a gauge sends now is not written over the last place.
    at.page.keyboard.type("99")
    assert len(bench.entered("teeth")) == 40


def test_a_burst_of_a_calliper_is_neither_lost_nor_swapped(stand, bench):
    at = stand("burst", 'sheet.measure("many")')
    grid = at.grid("length of the many")
    start_in(grid)
    values = [f"{100 + (n * 7919 % 200) / 4:.2f}" for n in range(200)]
    began = time.monotonic()
    for n, value in enumerate(values):  # twenty a second, or as fast as this machine can press keys
        at.page.keyboard.insert_text(value)
        at.page.keyboard.press("Enter")
        early = began + (n + 1) / 20 - time.monotonic()
        if early > 0:
            at.page.wait_for_timeout(1000 * early)
    print(f"{len(values) / (time.monotonic() - began):.1f} values a second")
    at.taken(grid, 200, 60_000)
    assert bench.entered("many") == [(f"piece {n}", v) for n, v in enumerate(values, 1)]


def test_what_shows_as_taken_outlives_the_kernel(stand, bench):
    at = stand(
        "killed", "import os, pathlib; pathlib.Path('kernel.pid').write_text(str(os.getpid()))\nsheet.measure('chain')"
    )
    grid = at.grid("pitch of the chain")
    start_in(grid)
    values = [f"{12 + n / 10:.1f}" for n in range(20)]
    type_in(at.page, *values)
    at.taken(grid, 20)
    os.kill(int((bench.notebooks / "kernel.pid").read_text()), signal.SIGKILL)
    at.page.get_by_role("button", name="Ok", exact=True).click()  # 'the kernel appears to have died'
    grid.locator(".field input").nth(20).click()
    type_in(at.page, "77.7")
    at.page.wait_for_function("el => el.querySelectorAll('.field')[20].matches('.bad')", arg=grid.element_handle())
    assert "The kernel has stopped" in grid.locator(".status").text_content()
    assert grid.locator(".field.taken").count() == 20
    assert bench.standing("chain") == {f"link {n}": v for n, v in enumerate(values, 1)}

    again = stand("killed", write=False)
    grid = again.grid("pitch of the chain")
    again.taken(grid, 20)
    shown = grid.locator(".field.taken input").evaluate_all("all => all.map(i => i.value)")
    assert shown == values


def test_a_text_that_was_not_taken_is_still_there_after_a_reload(stand, bench):
    at = stand("reload", 'sheet.measure("lug")')
    grid = at.grid("gap under the lug")
    start_in(grid)
    at.page.keyboard.type("0,25")
    at.page.reload()
    at.page.wait_for_selector(".jp-Notebook .jp-Cell")
    at.run()
    field = at.grid("gap under the lug").locator(".field").first
    assert field.locator("input").input_value() == "0,25"
    assert "not taken yet" in field.text_content()
    assert bench.entered("lug") == []


def test_one_value_twice_mixed_units_and_bad_text(stand, bench):
    at = stand("mixed", 'sheet.measure("runout")')
    grid = at.grid("run-out of the rim")
    start_in(grid)
    type_in(at.page, "0.25", "0.25", "10 thou", "0,1", "300 um", "5 ft-lb", "1/64 in", "0")
    at.taken(grid, 6)
    at.page.wait_for_function("el => el.querySelectorAll('.field.bad').length === 2", arg=grid.element_handle())
    assert bench.entered("runout") == [
        ("12:00", "0.25"), ("1:30", "0.25"), ("3:00", "10 thou"), ("6:00", "300 um"), ("9:00", "1/64 in"), ("10:30", "0"),
    ]  # fmt: skip
    fields = grid.locator(".field")
    # 1 in is 25.4 mm by definition
    assert "read as 0.254 mm" in fields.nth(2).text_content()
    assert "read as 0.3 mm" in fields.nth(4).text_content()
    assert "read as 0.396875 mm" in fields.nth(6).text_content()
    assert "inside" in fields.nth(2).text_content()
    comma, torque = fields.nth(3), fields.nth(5)
    assert comma.locator("input").input_value() == "0,1"
    assert "0.1" in comma.text_content()
    assert torque.locator("input").input_value() == "5 ft-lb"
    assert "not taken" in torque.text_content()
    # Enter after the last place leads to the first one that is open.
    assert at.here().endswith("4:30")
    type_in(at.page, "0.1")
    at.taken(grid, 7)
    assert bench.standing("runout")["4:30"] == "0.1"


def test_enter_after_the_last_place_leads_to_what_is_refused_later(stand, bench):
    """The kernel is held while all is typed, so that no answer can come before the last Enter."""
    at = stand(
        "held", "import os, pathlib; pathlib.Path('held.pid').write_text(str(os.getpid()))\nsheet.measure('gap')"
    )
    grid = at.grid("gap under foot")
    start_in(grid)
    kernel = int((bench.notebooks / "held.pid").read_text())
    os.kill(kernel, signal.SIGSTOP)
    try:
        type_in(at.page, "0.10", "0,11", "5 ft-lb", "0.13")
        assert at.here() == ""
    finally:
        os.kill(kernel, signal.SIGCONT)
    at.taken(grid, 2)
    at.page.wait_for_function("el => el.querySelectorAll('.field.bad').length === 2", arg=grid.element_handle())
    assert at.here().endswith("2")
    type_in(at.page, "0.11")
    at.taken(grid, 3)
    assert bench.standing("gap")["foot 2"] == "0.11"


def test_arrows_go_where_the_places_lie_and_tab_takes_what_was_typed(stand, bench):
    at = stand("arrows", 'sheet.measure("bore")')
    grid = at.grid("diameter of the bore")
    start_in(grid)
    at.page.keyboard.press("ArrowDown")
    assert at.here().endswith("depth 40mm / axis A")
    at.page.keyboard.press("ArrowRight")
    assert at.here().endswith("depth 40mm / axis B")
    at.page.keyboard.type("70.02")
    at.page.keyboard.press("Tab")
    assert at.here().endswith("depth 70mm / axis A")
    at.page.keyboard.press("Shift+Tab")
    assert at.here().endswith("depth 40mm / axis B")
    at.taken(grid, 1)
    assert bench.entered("bore") == [("depth 40mm / axis B", "70.02")]


def test_undo_strike_and_a_pasted_column(stand, bench, until):
    at = stand("undo", 'sheet.measure("slots")')
    grid = at.grid("width of the slot")
    start_in(grid)
    at.page.evaluate(
        """text => { const data = new DataTransfer(); data.setData('text/plain', text);
        document.activeElement.dispatchEvent(new ClipboardEvent('paste', {clipboardData: data, bubbles: true, cancelable: true})) }""",
        "2.01\n2.02\r\n2.03\n",
    )
    at.taken(grid, 3)
    assert bench.entered("slots") == [("slot 1", "2.01"), ("slot 2", "2.02"), ("slot 3", "2.03")]
    assert at.here().endswith("slot 4")
    at.page.keyboard.press("Control+z")
    at.page.wait_for_function("el => el.querySelectorAll('.field.taken').length === 2", arg=grid.element_handle())
    assert bench.standing("slots") == {"slot 1": "2.01", "slot 2": "2.02"}
    grid.locator(".field input").nth(1).click()
    at.page.keyboard.press("Control+Delete")
    type_in(at.page, "misread the vernier")
    at.page.wait_for_function("el => el.querySelectorAll('.field.taken').length === 1", arg=grid.element_handle())
    assert bench.standing("slots") == {"slot 1": "2.01"}
    assert bench.reasons()[-2:] == ["undone at once", "misread the vernier"]
    # The same value at the same place once more is a second reading.
    grid.locator(".field input").first.click()
    type_in(at.page, "2.01")
    until(lambda: bench.entered("slots") == [("slot 1", "2.01")] * 2)


def test_no_shortcut_of_the_notebook_fires_from_a_field(stand):
    at = stand("shortcuts", 'sheet.measure("slots")')
    grid = at.grid("width of the slot")
    cells = at.page.locator(".jp-Notebook .jp-Cell").count()
    grid.locator(".field input").last.click()
    for key in ("a", "b", "d", "d", "x", "m", "0", "0", "Shift+Enter", "Control+Enter", "Alt+Enter"):
        at.page.keyboard.press(key)
    at.page.keyboard.press("Escape")
    at.page.wait_for_timeout(300)
    assert at.page.locator(".jp-Notebook .jp-Cell").count() == cells
    assert at.page.locator(".jp-Dialog").count() == 0
