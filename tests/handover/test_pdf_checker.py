"""The PDF held against its standards by others: a checker for PDF/UA, and a PDF library that reads what PDF/A asks for."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest


def needed(module: str) -> None:
    """Skip without it; where RESTONB_REQUIRE_BROWSER is set, fail: there every outside checker must be."""
    if importlib.util.find_spec(module) is None:
        if os.environ.get("RESTONB_REQUIRE_BROWSER"):
            pytest.fail(f"{module} is required here, and is not installed")
        pytest.skip(f"{module} is not installed")


def told(pdf: Path) -> tuple[int, str]:
    """The checker's answer, 0 when it finds no error, and its words."""
    needed("outloud")
    command = Path(sys.executable).with_name("outloud")
    words = [str(command), "--layer", "conformance", "--fail-on", "error", str(pdf)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=300)
    return done.returncode, done.stdout


def test_the_checker_finds_what_is_wrong(tmp_path: Path) -> None:
    import typst

    source = tmp_path / "wrong.typ"
    source.write_text("Neither title nor structure.")
    typst.compile(str(source), output=str(tmp_path / "wrong.pdf"), pdf_tags=False)
    code, said = told(tmp_path / "wrong.pdf")
    assert code != 0
    assert "ERROR" in said


@pytest.mark.recalled("ISO 14289-1 by the Matterhorn Protocol, as far as a program can check it")
@pytest.mark.parametrize("which", ["export", "whole_export"])
def test_a_checker_for_screen_readers_finds_no_error(which: str, request: pytest.FixtureRequest) -> None:
    made: Any = request.getfixturevalue(which)
    code, said = told(made.pdf)
    assert code == 0, said
    assert "0 error(s)" in said


@pytest.fixture
def pdf(export: Any) -> Any:
    needed("pikepdf")
    import pikepdf

    with pikepdf.open(export.pdf) as opened:
        yield opened


def objects(pdf: Any) -> list[Any]:
    """Every dictionary and stream of the file."""
    import pikepdf

    return [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary | pikepdf.Stream)]


@pytest.mark.recalled("ISO 19005-3: 6.1.3, 6.1.12, 6.2.3, 6.5, 6.6, 6.8")
def test_the_file_holds_what_an_archivable_one_must(pdf: Any) -> None:
    root, trailer = pdf.Root, pdf.trailer
    assert not pdf.is_encrypted
    assert len(trailer.ID) == 2
    assert root.MarkInfo.Marked
    assert root.Lang
    assert root.ViewerPreferences.DisplayDocTitle
    profiles = [o for o in root.OutputIntents if o.S == "/GTS_PDFA1"]
    assert len(profiles) == 1
    assert profiles[0].DestOutputProfile.N == 3
    for key in ("/OpenAction", "/AA", "/AcroForm", "/XFA"):
        assert key not in root, key


@pytest.mark.recalled("ISO 19005-3: 6.1.7, 6.2.8, 6.2.9, 6.2.11, 6.6.1")
def test_the_file_holds_nothing_that_an_archivable_one_must_not(pdf: Any) -> None:
    actions = {"/JavaScript", "/Launch", "/Sound", "/Movie", "/ResetForm", "/ImportData", "/URI", "/SubmitForm"}
    fonts = 0
    for one in objects(pdf):
        assert str(one.get("/S")) not in actions
        assert "/JS" not in one
        assert "LZWDecode" not in str(one.get("/Filter"))
        assert "Crypt" not in str(one.get("/Filter"))
        assert one.get("/Interpolate") in (None, False)
        assert str(one.get("/Subtype")) not in ("/PS", "/Movie", "/Sound", "/Screen", "/3D")
        if str(one.get("/Type")) == "/FontDescriptor":
            fonts += 1
            assert any(key in one for key in ("/FontFile", "/FontFile2", "/FontFile3")), one
    assert fonts >= 2


@pytest.mark.recalled("ISO 19005-3, 6.8: a file that travels along says what it is, and how it belongs to the document")
def test_every_file_inside_says_what_it_is(pdf: Any) -> None:
    named = {str(spec.UF): spec for spec in pdf.Root.AF}
    assert {"entries.jsonl", "readings.csv"} <= {name.lstrip("/") for name in named}
    for name, spec in named.items():
        assert spec.Type == "/Filespec"
        assert str(spec.F) == name
        assert str(spec.AFRelationship) in ("/Source", "/Data", "/Supplement")
        assert len(str(spec.Desc)) > 5
        inside = spec.EF.F
        assert str(inside.Type) == "/EmbeddedFile"
        assert "/" in str(inside.Subtype)[1:]
        assert inside.Params.ModDate


@pytest.mark.recalled("ISO 14289-1, 7.3 and 7.5: a picture has a text in its place, a table says what its headings are")
def test_pictures_have_a_text_and_tables_have_headings(pdf: Any) -> None:
    kinds: dict[str, list[Any]] = {}
    for one in objects(pdf):
        if str(one.get("/Type")) == "/StructElem" or ("/S" in one and "/P" in one and "/K" in one):
            kinds.setdefault(str(one.get("/S")), []).append(one)
    assert len(kinds["/Figure"]) >= 3
    assert all(len(str(one.get("/Alt", ""))) > 10 for one in kinds["/Figure"])
    assert len(kinds["/Table"]) >= 3
    for table in kinds["/Table"]:
        assert "/TH" in below(table)


def below(element: Any) -> set[str]:
    """The kinds of everything below an element of the structure."""
    import pikepdf

    found: set[str] = set()
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            found |= {str(kid.S)} | below(kid)
    return found


PREDEFINED = {
    "http://purl.org/dc/elements/1.1/", "http://ns.adobe.com/xap/1.0/", "http://ns.adobe.com/xap/1.0/mm/",
    "http://ns.adobe.com/xap/1.0/t/pg/", "http://ns.adobe.com/xap/1.0/rights/", "http://ns.adobe.com/pdf/1.3/",
    "http://www.aiim.org/pdfa/ns/id/", "http://www.aiim.org/pdfa/ns/extension/",
}  # fmt: skip


@pytest.mark.recalled("ISO 19005-3, 6.6.2.3: a property of no known schema is described in the file itself")
def test_the_metadata_describe_every_schema_that_is_not_known(pdf: Any) -> None:
    from xml.etree import ElementTree

    tree = ElementTree.fromstring(pdf.Root.Metadata.read_bytes().decode("utf-8"))
    described = {
        element.text for element in tree.iter("{http://www.aiim.org/pdfa/ns/schema#}namespaceURI") if element.text
    }
    outer = tree.iter("{http://www.w3.org/1999/02/22-rdf-syntax-ns#}Description")
    used = {child.tag[1:].split("}")[0] for element in outer for child in element}
    assert "http://www.aiim.org/pdfua/ns/id/" in used
    assert used - PREDEFINED <= described
