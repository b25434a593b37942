"""The HTML and the PDF: the same words, harmless whatever was typed, complete in themselves, within their standards."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from restonb.handover.html import write_html
from restonb.handover.marks import MARKS
from restonb.handover.pdf import write_pdf
from restonb.handover.report import Cell, Column, Paragraph, Report, Section, Table, as_data, clean


class Page(HTMLParser):
    """What a browser would make of it: elements, attributes, visible text; and whether every element was closed."""

    VOID = ("meta", "img", "wbr", "br")

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.texts.append(data)

    @property
    def text(self) -> str:
        return "".join(self.texts)


@pytest.fixture(scope="session")
def page(export: Any) -> Page:
    return Page(export.html.read_text(encoding="utf-8"))


def tool(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        pytest.skip(f"{name} is not here")
    return found


def run(*words: str | Path) -> str:
    done = subprocess.run([str(w) for w in words], capture_output=True, check=True)
    return done.stdout.decode("utf-8", "replace")


# -- HTML


def test_the_page_asks_for_nothing_outside_and_runs_nothing(page: Page) -> None:
    assert not page.open
    for tag, attributes in page.elements:
        assert tag not in ("script", "iframe", "object", "embed", "link", "form", "base", "svg"), tag
        for name, value in attributes.items():
            assert not name.startswith("on"), name
            if name in ("src", "href", "srcset", "action", "data", "poster"):
                assert (value or "").startswith(("data:image/", "#")), (name, value)
    policy = next(a["content"] for t, a in page.elements if a.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    assert policy.startswith("default-src 'none'")


def test_styles_fetch_nothing(export: Any) -> None:
    style = re.search(r"<style>(.*?)</style>", export.html.read_text(encoding="utf-8"), re.DOTALL)
    assert style is not None
    assert not re.search(r"url\(|@import|expression|http", style.group(1))


def test_hostile_text_comes_out_as_text(page: Page, hostile: tuple[str, ...]) -> None:
    assert {t for t, _ in page.elements} <= {
        "html", "head", "meta", "title", "style", "body", "a", "header", "h1", "h2", "h3", "h4", "p", "main", "nav",
        "ol", "li", "section", "span", "ul", "dl", "div", "dt", "dd", "code", "table", "caption", "thead", "tbody",
        "tr", "th", "td", "figure", "img", "figcaption", "footer", "wbr",
    }  # fmt: skip
    for text in hostile:
        assert clean(text) in page.text, text


def test_every_picture_says_what_it_shows(page: Page) -> None:
    pictures = [a for t, a in page.elements if t == "img"]
    assert len(pictures) >= 3  # two drawings and a photograph
    for attributes in pictures:
        assert len(attributes["alt"] or "") > 10


def test_links_of_the_contents_lead_somewhere(page: Page) -> None:
    names = [a["id"] for _, a in page.elements if "id" in a]
    assert len(names) == len(set(names))
    for _, attributes in page.elements:
        if "href" in attributes:
            assert (attributes["href"] or "")[1:] in names


@pytest.mark.published("WCAG 2.1, 1.4.3: contrast of at least 4.5 to 1")
@pytest.mark.parametrize("word", MARKS)
def test_marks_can_be_told_from_the_ground(word: str) -> None:
    shape, colour = MARKS[word]
    assert len(shape) == 1

    def luminance(code: str) -> float:
        parts = [int(code[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    for ground in ("#ffffff", "#fbfaf7"):
        assert (luminance(ground) + 0.05) / (luminance(colour) + 0.05) >= 4.5


# -- PDF


@pytest.mark.published("ISO 19005-3 and ISO 14289-1: the parts that the metadata must name")
def test_the_pdf_names_its_standards(export: Any) -> None:
    meta = run(tool("pdfinfo"), "-meta", export.pdf)
    assert re.search(r"pdfaid:part\W+3\b", meta)
    assert re.search(r"pdfaid:conformance\W+A\b", meta)
    assert re.search(r"pdfuaid:part\W+1\b", meta)


def test_the_pdf_is_sound_tagged_and_dated_by_the_record(export: Any, filled: Any) -> None:
    run(tool("qpdf"), "--check", export.pdf)
    info = run(tool("pdfinfo"), "-isodates", export.pdf)
    assert re.search(r"Tagged:\s+yes", info)
    assert re.search(r"JavaScript:\s+no", info)
    assert re.search(r"Encrypted:\s+no", info)
    head = json.loads((export.folder / "data" / "entries.jsonl").read_text().splitlines()[-1])["sealed"]
    stated = re.search(r"CreationDate:\s+(\S+)", info)
    assert stated is not None
    assert datetime.fromisoformat(stated.group(1)) == datetime.fromisoformat(head["at"])


def test_the_pdf_carries_its_data(export: Any, tmp_path: Path) -> None:
    run(tool("pdfdetach"), "-saveall", "-o", tmp_path, export.pdf)
    data = export.folder / "data"
    for name in ("entries.jsonl", "tables/readings.csv", "tables/verdicts.csv", "tables/datapackage.json"):
        saved = next(p for p in tmp_path.iterdir() if p.name == Path(name).name)
        assert saved.read_bytes() == (data / name).read_bytes()


def test_the_pdf_brings_its_fonts(export: Any) -> None:
    listed = run(tool("pdffonts"), export.pdf).splitlines()[2:]
    assert listed
    for line in listed:
        assert " yes yes yes " in line, line  # embedded, only what is used, with the text behind it


def test_both_documents_say_the_same(page: Page, export: Any) -> None:
    """Every text of the report stands in both, whatever was typed."""
    report = json.loads((export.folder / "data" / "report.json").read_text(encoding="utf-8"))
    del report["front"]["title"]  # the first page has the title of the whole
    printed = squeezed(run(tool("pdftotext"), "-raw", export.pdf, "-"))
    shown = squeezed(page.text)
    for text in texts(report):
        for line in text.split("\n"):
            assert squeezed(line) in shown, line
            if line.isascii() and len(line) < 60:
                assert squeezed(line) in printed, line


def squeezed(text: str) -> str:
    """Without what a line break may add: spaces, and hyphens at its end."""
    return re.sub(r"[\s\u200b\u00ad\u00a0]+", "", text)


def texts(part: Any, key: str = "") -> list[str]:
    if isinstance(part, str):
        return [part] if key not in ("kind", "mark", "tone", "file", "language", "key", "alt", "running") else []
    if isinstance(part, dict):
        return [t for k, v in part.items() for t in texts(v, k)]
    if isinstance(part, list):
        return [t for p in part for t in texts(p, key)]
    return []


def report_with(text: str) -> dict[str, Any]:
    table = Table(text, (Column("a"), Column("b", 0.0, True)), ((Cell(text),), (Cell(text, "inside"), Cell(text))))
    front = Section("front", "Front", (Paragraph(text), table))
    found = as_data(Report("Title", text, "2026-03-14", 1, "0" * 64, front, (Section("a", text, (table,)),)))
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize("number", range(7))
def test_the_typesetter_takes_every_hostile_text(number: int, hostile: tuple[str, ...], tmp_path: Path) -> None:
    write_pdf(report_with(hostile[number]), tmp_path, tmp_path / "out.pdf", datetime(2026, 3, 14, tzinfo=UTC))
    said = run(tool("pdftotext"), "-raw", tmp_path / "out.pdf", "-")
    if hostile[number].isascii():
        assert squeezed(clean(hostile[number])) in squeezed(said)
    assert "root:" not in said


@pytest.mark.slow
def test_the_typesetter_takes_any_text(tmp_path: Path) -> None:
    """One document with a few characters of every block of Unicode."""
    every = "".join(chr(c) for c in range(0, 0x30000, 37) if not 0xD800 <= c < 0xE000)
    write_pdf(report_with(every), tmp_path, tmp_path / "out.pdf", datetime(2026, 3, 14, tzinfo=UTC))
    run(tool("qpdf"), "--check", tmp_path / "out.pdf")


@given(st.text())
def test_nothing_unseen_passes(text: str) -> None:
    import unicodedata

    for c in clean(text):
        assert c == "\n" or unicodedata.category(c) not in ("Cc", "Cs", "Cn", "Co")
        assert c not in "\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"


@given(st.text(max_size=200))
def test_any_text_comes_out_of_the_page_as_it_went_in(text: str) -> None:
    import io

    out = io.StringIO()
    write_html(report_with(text), Path(), out)
    page = Page(out.getvalue())
    assert not page.open
    for line in clean(text).split("\n"):
        assert line.strip() in page.text


def test_the_history_gives_the_reason_only_where_one_was_entered(empty: Any) -> None:
    from restonb.handover.contents import _history
    from restonb.record import enter_disturb, enter_joint

    enter_joint(empty.record, empty.build, "gearbox", "tightened")
    enter_disturb(empty.record, empty.build, "gearbox", "loosened", "a stud wept")
    enter_disturb(empty.record, empty.build, "gearbox", "removed")
    facts: Any = SimpleNamespace(joints=empty.build.joints, build=empty.build)
    lines = [_history._SAID[e.kind](facts, dict(e.body)) for e in empty.record.entries()]
    assert [line.partition(": ")[2] for line in lines] == ["tightened", "loosened, a stud wept", "removed"]
