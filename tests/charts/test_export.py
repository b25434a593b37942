"""A chart is the same file on any day, can stand beside others in one page, and can be read aloud."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from typing import Any

import matplotlib
import pytest

from restonb import charts

Filed = list[dict[str, Any]]


@pytest.mark.practice
def test_the_same_verdicts_give_the_same_bytes(four_feet: Filed) -> None:
    first, second = charts.tolerance_bars(four_feet), charts.tolerance_bars(four_feet)
    assert charts.svg(first) == charts.svg(second)
    assert charts.svg(first) == charts.svg(first)
    assert charts.png(first) == charts.png(second)


@pytest.mark.practice
def test_another_process_with_other_settings_gives_the_same_bytes(four_feet: Filed) -> None:
    program = (
        "import json, sys, hashlib, matplotlib\n"
        "matplotlib.rcParams.update({'font.size': 20, 'axes.facecolor': 'red', 'svg.hashsalt': 'other'})\n"
        "from restonb import charts\n"
        "figure = charts.tolerance_bars(json.load(sys.stdin))\n"
        "print(hashlib.sha256(charts.svg(figure).encode() + charts.png(figure)).hexdigest())\n"
    )
    outs = {
        subprocess.run(
            [sys.executable, "-c", program], input=json.dumps(four_feet), capture_output=True, text=True, check=True,
            env={"PYTHONHASHSEED": seed, "TZ": zone},
        ).stdout
        for seed, zone in (("1", "UTC"), ("2", "Asia/Tokyo"))
    }  # fmt: skip
    assert len(outs) == 1


@pytest.mark.practice
def test_no_date_program_or_path_is_left_in_the_files(four_feet: Filed) -> None:
    figure = charts.tolerance_bars(four_feet)
    text = charts.svg(figure)
    assert not re.search(r"<metadata|dc:date|[Mm]atplotlib v|/home/|/usr/", text)
    data = charts.png(figure)
    assert data.startswith(b"\x89PNG\r\n\x1a\n")
    assert b"tEXt" not in data
    assert b"Software" not in data


@pytest.mark.practice
def test_several_charts_share_no_id_and_every_reference_leads_somewhere(four_feet: Filed) -> None:
    drawn = [
        charts.svg(f)
        for f in (
            charts.tolerance_bars(four_feet),
            charts.position_map(four_feet),
            charts.tolerance_bars(four_feet[:2]),
        )
    ]
    seen: set[str] = set()
    for text in drawn:
        ids = re.findall(r'\sid="([^"]+)"', text)
        assert len(ids) == len(set(ids))
        assert not seen & set(ids)
        seen |= set(ids)
        used = set(re.findall(r'href="#([^"]+)"|url\(#([^)]+)\)', text))
        assert {a or b for a, b in used} <= set(ids)


@pytest.mark.practice
def test_the_same_chart_twice_in_a_page_takes_a_prefix(four_feet: Filed) -> None:
    figure = charts.tolerance_bars(four_feet)
    a, b = charts.svg(figure, prefix="first"), charts.svg(figure, prefix="second")
    assert not set(re.findall(r'\sid="([^"]+)"', a)) & set(re.findall(r'\sid="([^"]+)"', b))


@pytest.mark.practice
def test_the_svg_stands_alone_and_asks_for_nothing_from_outside(four_feet: Filed) -> None:
    text = charts.svg(charts.position_map(four_feet))
    root = ET.fromstring(text)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert "<style" not in text  # it would reach the other drawings of the page
    assert "<script" not in text
    links = [v for e in root.iter() for k, v in e.attrib.items() if k.endswith("href")]
    assert all(link.startswith("#") for link in links)


@pytest.mark.practice
def test_a_screen_reader_finds_title_and_role(verdict: Any) -> None:
    figure = charts.tolerance_bars([verdict(what='gap <A> & "B"')])
    root = ET.fromstring(charts.svg(figure))
    title = root.find("{http://www.w3.org/2000/svg}title")
    assert root.get("role") == "img"
    assert title is not None
    assert root.get("aria-labelledby") == title.get("id")
    assert title.text == charts.describe(figure)
    assert 'Gap <A> & "B": inside' in charts.describe(figure)


@pytest.mark.practice
def test_a_notebook_shows_svg_and_png_with_alt_text_and_no_pyplot(four_feet: Filed) -> None:
    figure = charts.tolerance_bars(four_feet)
    data, about = figure._repr_mimebundle_()  # type: ignore[attr-defined]
    assert data["image/svg+xml"].startswith("<svg ")
    assert data["text/plain"] == charts.describe(figure)
    assert about["image/png"]["alt"] == charts.describe(figure)
    code = (
        "import sys; from restonb import charts; charts.tolerance_bars([]); print('matplotlib.pyplot' in sys.modules)"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "False"


@pytest.mark.practice
def test_the_settings_of_the_notebook_come_back(four_feet: Filed) -> None:
    with matplotlib.rc_context({"font.size": 17.0}):
        charts.svg(charts.tolerance_bars(four_feet))
        assert matplotlib.rcParams["font.size"] == 17.0


@pytest.mark.practice
def test_importing_the_room_does_not_load_matplotlib() -> None:
    code = "import sys, restonb.charts as c; print('matplotlib' in sys.modules, 'numpy' in sys.modules, sorted(dir(c)) == sorted(c.__all__))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.split() == ["False", "False", "True"]


@pytest.mark.practice
def test_every_name_that_the_room_offers_is_there() -> None:
    assert charts.__all__ == sorted(charts.__all__)
    for name in charts.__all__:
        assert callable(getattr(charts, name))
    with pytest.raises(AttributeError, match="no attribute 'pie'"):
        _ = charts.pie
