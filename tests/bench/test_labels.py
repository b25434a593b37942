"""Labels on paper: true sizes, none over the edge, codes that keep to ISO/IEC 18004, text that stays text."""

import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.bench.labels import BAR, Label, Layout, lay_out, module_size
from restonb.errors import RestonbError

A4 = Layout("A4", 58, 22, 15, 2)
ONE = Label("wire 3", ("fuse", "→ switch", "red", "entry 215"), "Wrenfield 450; wire 3; entry 215, 4f2a9c01")


def parsed(svg):
    return ET.fromstring(svg)


def dark(svg):
    """The dark modules of the first code, as (x, y) pairs, read from the drawing itself."""
    path = next(p.get("d") for p in parsed(svg).iter("path"))
    runs = [tuple(map(int, m)) for m in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path)]
    return {(x + n, y) for x, y, length in runs for n in range(length)}


@pytest.mark.published("ISO 216: A4 is 210 x 297 mm")
def test_a_sheet_is_as_large_as_the_paper_within_its_margins():
    (page,) = lay_out([ONE] * 5, A4)
    root = parsed(page)
    assert root.get("width") == "180mm"
    assert root.get("viewBox").split()[2] == "180"
    assert A4.usable == (180, 267)
    # Three of 58 mm and two gaps of 2 mm are 178 mm; ten of 22 mm and nine gaps are 238 mm, eleven would be 262 mm.
    assert (A4.columns, A4.rows) == (3, 10)


def test_the_bar_is_as_long_as_it_says():
    line = next(parsed(lay_out([ONE], A4)[0]).iter("line"))
    assert float(line.get("x2")) - float(line.get("x1")) == pytest.approx(BAR)
    assert BAR == 50


@pytest.mark.recalled(
    "ISO/IEC 18004: side 17 + 4 v modules, quiet zone of 4, finder patterns of 7 x 7 in three corners"
)
def test_a_code_has_finders_in_three_corners_and_a_quiet_zone():
    found = dark(lay_out([ONE], A4)[0])
    low, high = min(x for x, _ in found), max(x for x, _ in found)
    side = high - low + 1
    assert low == min(y for _, y in found) == 4
    assert (side - 17) % 4 == 0
    assert module_size(ONE, A4) == pytest.approx(19 / (side + 8))
    ring = {(x, y) for x in range(7) for y in range(7) if x in (0, 6) or y in (0, 6)}
    core = {(x, y) for x in range(2, 5) for y in range(2, 5)}
    for left, top in ((low, low), (high - 6, low), (low, high - 6)):
        assert {(x - left, y - top) for x, y in found if 0 <= x - left < 7 and 0 <= y - top < 7} == ring | core
    corner = {(x - high + 6, y - high + 6) for x, y in found if x > high - 7 and y > high - 7}
    assert corner != ring | core


@given(
    st.lists(st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=60), min_size=1, max_size=6),
    st.integers(1, 70),
    st.floats(40, 120),
    st.floats(12, 30),
)
@settings(deadline=None, max_examples=25)
def test_nothing_hangs_over_an_edge_whatever_stands_on_it(lines, count, width, height):
    layout = Layout("A4", max(width, 2 * height), height, 12, 3)
    label = Label(lines[0], tuple(lines[1:]), "code")
    pages = lay_out([label] * count, layout)
    assert len(pages) == -(-count // (layout.columns * layout.rows))
    drawn = 0
    for page in pages:
        root = parsed(page)
        wide, tall = (float(n) for n in root.get("viewBox").split()[2:])
        assert wide <= 210 - 24 + 1e-9
        assert tall <= 297 - 24 + 1e-9
        for group in root.iter("g"):
            if move := re.match(r"translate\(([\d.]+) ([\d.]+)\)", group.get("transform") or ""):
                drawn += 1
                assert float(move[1]) + layout.width <= wide + 0.01
                assert float(move[2]) + layout.height <= tall + 0.01
                for text in group.iter("text"):
                    assert float(text.get("y")) <= layout.height
                    assert "".join(text.itertext())[:-1] in "\n".join(lines)
    assert drawn == count


def test_text_from_a_person_stays_text():
    page = lay_out([Label("<b>&", ("</text><script>",), "x")], A4)[0]
    assert "<script" not in page
    assert "&lt;b&gt;&amp;" in page


@pytest.mark.parametrize(
    ("layout", "said"),
    [
        (Layout("B7", 58, 22, 15, 2), "no paper 'B7'; write A4, A5, Letter"),
        (Layout("A5", 200, 22, 10, 2), "does not fit on A5"),
        (Layout("A4", 30, 22, 15, 2), "at least 44 mm wide"),
        (Layout("A4", 30, 5, 15, 2), "at least 10 mm high"),
        (Layout("A4", 58, 22, 15, -2), "neither gap nor margin is below 0"),
    ],
)
def test_sizes_that_cannot_be_are_refused(layout, said):
    with pytest.raises(RestonbError, match=re.escape(said)):
        lay_out([ONE], layout)
