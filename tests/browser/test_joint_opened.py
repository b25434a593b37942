"""Saying that a joint was opened, in a browser: with the keyboard alone, on a tablet, and for who cannot see it."""

from pathlib import Path

import pytest

from restonb.record import Record, enter_joint

pytestmark = pytest.mark.browser

AXE = Path(__file__).parent / "vendor" / "axe.min.js"


@pytest.fixture
def panel(stand, bench):
    with Record.open(bench.build) as record:
        enter_joint(record, bench.build, "mounting", "tightened", why="for the test of opening")
    at = stand("opening", "sheet.joints()", size=(820, 1180), run=False)
    at.open(grids=0)
    at.page.wait_for_selector(".opening summary", timeout=40_000)
    return at


def test_a_joint_is_opened_with_the_keyboard_alone(panel, bench, until, tmp_path):
    page = panel.page
    page.locator(".opening summary").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(".opening .costs p")
    assert page.locator(".opening option").first.inner_text().startswith("gearbox to the plates (tightened")
    page.screenshot(path=tmp_path / "asked.png")
    page.get_by_label("what was done").select_option("removed")
    page.wait_for_function("() => document.querySelector('.opening button').textContent === 'enter: removed'")
    page.get_by_label("why", exact=True).focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(".opening .status.bad")
    assert "say why it was opened" in page.locator(".opening .status").inner_text()
    page.keyboard.type("shims to be changed")
    page.keyboard.press("Enter")

    def entered():
        with Record.open(bench.build) as record:
            return [e.body for e in record.entries("disturb") if e.body["why"] == "shims to be changed"]

    until(entered)
    assert entered() == [{"joint": "mounting", "what": "removed", "why": "shims to be changed"}]
    page.wait_for_function("() => document.querySelector('.opening .status').textContent.includes('entered as entry')")
    page.screenshot(path=tmp_path / "entered.png")


def test_it_keeps_to_a_tablet_and_to_who_cannot_see(panel):
    page = panel.page
    page.locator(".opening summary").click()
    page.wait_for_selector(".opening .costs p")
    grid = page.locator(".opening")
    assert grid.evaluate("el => el.scrollWidth <= el.clientWidth + 1")
    # WCAG 2.2, 2.5.5 Target Size (Enhanced): 44 by 44 CSS pixels
    small = grid.locator("input:visible, select:visible, button:visible, summary:visible").evaluate_all(
        "all => all.filter(e => { const r = e.getBoundingClientRect(); return r.height < 44 || r.width < 44 })"
        ".map(e => e.outerHTML.slice(0, 80))"
    )
    assert small == []
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate(
        "() => axe.run({include: [['.opening']]}, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']})"
    )
    assert [v["id"] for v in found["violations"] if v["impact"] in ("serious", "critical")] == []
    assert len(found["passes"]) > 5
