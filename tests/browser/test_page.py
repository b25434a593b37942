"""What the bench looks like to a hand, an eye, a screen reader and a network."""

import json
import socket
from pathlib import Path

import pytest

pytestmark = pytest.mark.browser

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
ALL = ("gap", "runout", "bore", "weight")


def cells():
    return [f'sheet.measure("{key}")' for key in ALL]


@pytest.fixture
def tablet(stand):
    return stand("tablet", *cells(), size=(820, 1180), has_touch=True)


def test_on_a_tablet_nothing_scrolls_sideways_and_targets_are_large(tablet, tmp_path):
    page = tablet.page
    page.screenshot(path=tmp_path / "tablet.png", full_page=True)
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    for grid in page.locator(".restonb-grid").all():
        assert grid.evaluate("el => el.scrollWidth <= el.clientWidth + 1")
        box = grid.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 820
        # WCAG 2.2, 2.5.5 Target Size (Enhanced): 44 by 44 CSS pixels
        small = grid.locator("input:visible, select:visible, button:visible").evaluate_all(
            "all => all.map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])"
            ".filter(([, r]) => r.height < 44 || r.width < 44).map(([t]) => t)"
        )
        assert small == []


def test_nothing_serious_is_wrong_for_who_cannot_see_or_point(tablet):
    page = tablet.page
    field = tablet.grid("gap under foot").locator(".field input")
    field.first.click()
    for value in ("0.02", "0,3", "0.9"):
        page.keyboard.type(value)
        page.keyboard.press("Enter")
    page.wait_for_timeout(1500)
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate(
        "() => axe.run({include: [['.restonb-grid']]}, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']})"
    )
    grave = [v for v in found["violations"] if v["impact"] in ("serious", "critical")]
    told = [f"{v['id']}: {n['html'][:120]} {n['failureSummary']}" for v in grave for n in v["nodes"]]
    assert told == []
    assert len(found["passes"]) > 5


def test_the_current_field_cannot_be_missed(tablet):
    grid = tablet.grid("run-out of the rim")
    grid.locator(".field input").nth(3).click()
    current = grid.locator(".field.current")
    assert current.count() == 1
    assert "▶" in current.locator(".mark").evaluate("e => getComputedStyle(e, '::before').content")
    assert current.evaluate("e => getComputedStyle(e).boxShadow") != "none"


def test_nothing_outside_is_asked(stand, bench):
    at = stand("offline", 'sheet.measure("bore")', run=False)
    at.page.goto(bench.url)
    at.page.wait_for_selector(".jp-MarkdownViewer, .jp-RenderedMarkdown", timeout=60_000)
    at.open()
    at.page.wait_for_timeout(1500)
    outside = [
        u for u in at.asked if not u.startswith((bench.base, bench.base.replace("http", "ws"), "data:", "blob:"))
    ]
    assert len(at.asked) > 20
    assert outside == []


def test_every_sheet_is_one_click_away_and_no_news_pops_up(stand, bench):
    bench.write("clicked", 'sheet.measure("gap")')
    at = stand("clicked", run=False, write=False)
    assert "clicked" not in (bench.notebooks / "start.md").read_text()  # written when the bench is opened
    at.page.goto(bench.url)
    at.page.get_by_role("link", name="waiting").click()
    at.page.wait_for_selector(".jp-NotebookPanel", timeout=60_000)
    assert at.page.locator(".Toastify__toast").count() == 0


def test_without_the_token_nobody_gets_in(stand, bench):
    at = stand("stranger", run=False, write=False)
    at.page.goto(f"{bench.base}/doc/tree/notebooks/forty.ipynb")
    at.page.wait_for_load_state()
    assert "/login" in at.page.url


def test_nothing_listens_beyond_the_loopback_address(bench):
    port = int(bench.base.rsplit(":", 1)[1])
    for address, open_there in (("127.0.0.1", True), ("127.0.0.2", False)):  # all of 127/8 leads here, RFC 1122
        with socket.socket() as probe:
            assert (probe.connect_ex((address, port)) == 0) is open_there


def _holds_outputs(path):
    try:
        return any(cell["outputs"] for cell in json.loads(path.read_text())["cells"])
    except ValueError:  # it is being written just now
        return False


def test_a_sheet_that_is_opened_again_shows_the_grid_or_without_its_kernel_a_table(stand, bench, until):
    at = stand("saved", 'sheet.measure("plug")')
    grid = at.grid("gap of the plug")
    grid.locator(".field input").first.click()
    at.page.keyboard.type("0.6")
    at.page.keyboard.press("Enter")
    at.taken(grid, 1)
    assert not at.page.locator(".restonb-standin").is_visible()
    at.page.locator('[data-command="docmanager:save"]').first.click()
    path = bench.notebooks / "saved.ipynb"
    until(lambda: _holds_outputs(path))
    assert "state" not in json.loads(path.read_text())["metadata"].get("widgets", {})

    at.page.goto(bench.page("saved"))  # the tab was closed, the kernel lives: nothing is run again
    at.page.wait_for_selector(".restonb-grid .field.taken", timeout=60_000)
    assert at.grid("gap of the plug").locator(".field input").first.input_value() == "0.6"

    bench.end_kernels("saved")
    at.page.goto(bench.page("saved"))
    at.page.wait_for_selector(".restonb-standin table", timeout=60_000)
    at.page.wait_for_selector('.jp-Notebook-ExecutionIndicator[data-status="idle"]', state="attached", timeout=60_000)
    at.page.wait_for_timeout(1000)
    assert "Run All Cells" in at.page.locator(".restonb-standin").inner_text()
    assert not at.page.get_by_text("Error displaying widget").is_visible()


def test_a_photo_is_kept_as_it_is_and_shown_without_what_the_camera_wrote(stand, bench, tmp_path):
    import base64
    import hashlib
    import io

    from PIL import Image

    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter: EXIF 2.3, orientation
    exif.get_ifd(0x8825)[1] = "N"
    photo = tmp_path / "foot.jpg"
    Image.effect_noise((1600, 1200), 90).convert("RGB").save(photo, exif=exif, quality=95)
    assert photo.stat().st_size > 1 << 20  # in more than one piece
    at = stand("photo", 'sheet.measure("gap")')
    grid = at.grid("gap under foot")
    grid.locator(".field input").nth(1).click()
    grid.locator("input[type=file]").nth(1).set_input_files(photo)
    at.page.wait_for_selector(".restonb-grid .item img", timeout=30_000)
    small = base64.b64decode(grid.locator(".item img").get_attribute("src").split(",")[1])
    with Image.open(io.BytesIO(small)) as image:
        assert image.height > image.width
        assert not image.getexif()
    digest = hashlib.sha256(photo.read_bytes()).hexdigest()
    assert (bench.build.photos / f"{digest}.jpg").read_bytes() == photo.read_bytes()
    assert bench.photos()[-1]["position"] == "foot 2"


def test_a_joint_is_tightened_in_stages_by_enter_alone_and_temporary_is_one_key(stand, bench, until):
    at = stand("sign", 'sheet.sign_off("mounting")', size=(820, 1180))
    page, root = at.page, at.page.locator(".signing")
    root.locator(".fastener input").first.click()
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.getAttribute('aria-label')") == "2. foot nut 3: torque"
    page.keyboard.press("t")
    until(lambda: bench.joint("mounting")["state"] == "temporary")
    page.wait_for_function("() => document.querySelector('.signing .status').textContent.startsWith('temporary')")
    assert bench.joint("mounting")["fasteners"] == []
    for _ in range(7):  # three left of the first stage, four of the second
        page.keyboard.press("Enter")
    until(lambda: bench.joint("mounting")["state"] == "tightened")
    entered = bench.joint("mounting")
    assert [f["position"] for f in entered["fasteners"]] == ["1", "2", "3", "4"]
    assert {(f["torque"], f["unit"], f["treatment"], f["new"]) for f in entered["fasteners"]} == {
        ("25", "ft-lb", "tab washer, oiled thread", False)
    }
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate(
        "() => axe.run({include: [['.signing']]}, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})"
    )
    assert [v["id"] for v in found["violations"] if v["impact"] in ("serious", "critical")] == []
    assert root.evaluate("el => el.scrollWidth <= el.clientWidth + 1")
    # Opening a tightened joint spoils what rests on it: it is not done without a reason.
    root.get_by_role("button", name="temporary").click()
    page.wait_for_function("() => /Say why/.test(document.querySelector('.signing .status').textContent)")
    assert bench.joint("mounting")["state"] == "tightened"
    page.keyboard.type("shims to be changed")
    root.get_by_role("button", name="temporary").click()
    until(lambda: bench.joint("mounting")["why"] == "shims to be changed")
