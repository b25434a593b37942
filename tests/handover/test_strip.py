"""The strip beside a number: it never says anything else than the number, its limits and its verdict."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from restonb.handover import hand_over
from restonb.handover.contents._sheet import photos_shown
from restonb.handover.contents._strip import strips
from restonb.handover.photos import derive_all
from restonb.record import enter_strike

NUMBER = st.floats(-1e6, 1e6, allow_nan=False).map(lambda x: round(x, 4))


def row(value: float | None, lower: float | None = None, upper: float | None = None, **more: Any) -> dict[str, Any]:
    return {"value": value, "lower": lower, "upper": upper, "wear_limit": None, "U": 0.01, **more}


@given(st.lists(NUMBER | st.none(), min_size=1, max_size=8), NUMBER | st.none(), NUMBER | st.none())
def test_what_is_larger_stands_further_right(
    values: list[float | None], first: float | None, second: float | None
) -> None:
    lower, upper = sorted((first, second)) if first is not None and second is not None else (first, second)
    found = strips([row(v, lower, upper) for v in values], [None] * len(values))
    if lower is None and upper is None:
        assert found == [None] * len(values)
        return
    for value, strip in zip(values, found, strict=True):
        if value is None or strip is None:
            assert value is None or found == [None] * len(values)
            continue
        assert strip.within is not None
        assert 0 <= strip.low <= strip.value <= strip.high <= 1
        assert 0 <= strip.within[0] <= strip.within[1] <= 1
        if upper is not None and value > upper:
            assert strip.value >= strip.within[1]
        elif lower is not None and value < lower:
            assert strip.value <= strip.within[0]
        else:
            assert strip.within[0] <= strip.value <= strip.within[1]


def test_the_wear_limit_and_the_value_as_found() -> None:
    old = row(5.0, 5.9, 6.1, wear_limit=5.2)
    (strip,) = strips([row(5.7, 5.9, 6.1, wear_limit=5.2)], [old])
    assert strip is not None
    assert strip.was is not None
    assert strip.worn is not None
    assert strip.within is not None
    assert strip.used == (strip.worn, strip.within[0])
    assert strip.was < strip.worn < strip.value < strip.within[0] < strip.within[1]


def test_at_most_begins_at_nothing() -> None:
    (strip,) = strips([row(0.05, None, 0.1, U=None)], [None])
    assert strip is not None
    assert strip.within is not None
    assert strip.within[0] == 0
    assert strip.value == pytest.approx(strip.within[1] / 2, abs=1e-3)


def test_both_documents_show_it_and_neither_reads_it_out(export: Any) -> None:
    report = json.loads((export.folder / "data" / "report.json").read_text(encoding="utf-8"))
    drawn = [c for c in cells(report) if c["strip"]]
    assert len(drawn) >= 5
    assert all(not c["text"] for c in drawn)
    page = export.html.read_text(encoding="utf-8")
    assert page.count('<span class="strip" aria-hidden="true">') == len(drawn)


def cells(part: Any) -> list[dict[str, Any]]:
    if isinstance(part, list):
        return [c for p in part for c in cells(p)]
    if isinstance(part, dict):
        return [part] if "strip" in part else [c for p in part.values() for c in cells(p)]
    return []


def put_right(export: Any) -> dict[str, str]:
    report = json.loads((export.folder / "data" / "report.json").read_text(encoding="utf-8"))
    table = next(b for b in report["front"]["blocks"] if b["kind"] == "table")
    at = [column["title"] for column in table["columns"]].index("Put right")
    return {line[0]["text"]: line[at]["text"] for line in table["rows"]}


def test_a_place_that_was_put_right_is_counted_in_front_while_it_is(fresh: Any, tmp_path: Path) -> None:
    machine = fresh(tmp_path / "build")
    spoiled = put_right(hand_over(machine.build, machine.record, tmp_path / "first"))
    assert spoiled["Drivetrain"] == "–"  # a joint that the gaps rest on was loosened since
    cause = list(machine.record.entries("disturb"))[-1]
    enter_strike(machine.record, cause.seq, "it was another machine")
    by_name = put_right(hand_over(machine.build, machine.record, tmp_path / "second"))
    machine.record.close()
    # Foot 1, found at 0.28 mm; foot 4 was inside: with error 0.005 mm and resolution 0.01 mm, U = 0.008 mm, and
    # 0.09 mm + 0.008 mm is less than 0.10 mm.
    assert by_name["Drivetrain"] == "1"
    assert by_name["Brakes"] == "–"


# -- photographs


def test_the_document_does_not_grow_with_the_photographs() -> None:
    for sheets in range(1, 80):
        assert 2 <= photos_shown(sheets) <= 12
        assert photos_shown(sheets) * sheets <= 160 or photos_shown(sheets) == 2


@pytest.mark.parametrize(
    ("size", "kept"),
    [((4000, 3000), (2000, 1500)), ((4032, 3024), (2016, 1512)), ((3000, 2250), (2048, 1536)), ((640, 480), (640, 480)),
     ((6000, 300), (2048, 102)), ((300, 8000), (75, 2000))],
)  # fmt: skip
def test_a_large_photograph_becomes_smaller_and_keeps_its_shape(
    size: tuple[int, int], kept: tuple[int, int], tmp_path: Path
) -> None:
    from PIL import Image

    path = tmp_path / "shot.jpg"
    Image.linear_gradient("L").resize(size).convert("RGB").save(path, quality=80, comment=b"the owner's secret")
    (made,) = derive_all([(path, "", tmp_path / "large.jpg", tmp_path / "small.jpg")])
    assert made.file == "large.jpg"
    with Image.open(tmp_path / "large.jpg") as large, Image.open(tmp_path / "small.jpg") as small:
        assert large.size == pytest.approx(kept, abs=1)
        assert max(small.size) <= 720
        assert abs(large.getpixel((large.width // 2, large.height * 3 // 4))[0] - 191) < 4  # type: ignore[index]
    assert b"secret" not in (tmp_path / "large.jpg").read_bytes()


def test_a_picture_of_a_telephone_that_cannot_be_read_says_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "shot.heic"
    path.write_bytes(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(100))  # how such a file begins
    (made,) = derive_all([(path, "", tmp_path / "large.jpg", None)])
    assert "save it as JPEG" in made.fault
    assert "Error" not in made.fault
