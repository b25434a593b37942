"""The page of a run stands alone: nothing runs in it, nothing is fetched from outside."""

import re
from html.parser import HTMLParser

import pytest

from restonb.log._page import RunFacts, page
from restonb.log._parameters import Parameter
from restonb.log._safe import safe_html, without_escapes

NASTY = [
    "<script>alert(1)</script>",
    "<SCRIPT src=https://a.example/x.js></SCRIPT>",
    '<img src="https://a.example/x.png" onerror="alert(1)">',
    "<img src=x onerror=alert(1)>",
    '<a href="javascript:alert(1)">x</a>',
    '<a href="https://a.example">manual</a>',
    '<iframe src="https://a.example"></iframe>',
    '<link rel="stylesheet" href="https://a.example/x.css">',
    "<style>@import url(https://a.example/x.css); p { background: url('https://a.example/x.png') }</style>",
    '<p style="background: url(https://a.example/x.png)">x</p>',
    '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script><image xlink:href="https://a.example/x"/></svg>',
    '<svg><use href="https://a.example/x.svg#a"/></svg>',
    '<object data="https://a.example"></object><embed src="https://a.example">',
    '<form action="https://a.example"><button formaction="https://a.example">x</button></form>',
    '<video poster="https://a.example/x.png" src="//a.example/x"></video>',
    '<meta http-equiv="refresh" content="0; url=https://a.example">',
    '<base href="https://a.example/">',
    '<img srcset="https://a.example/x.png 2x">',
    '<svg><rect fill="url(https://a.example/x#y)"/></svg>',
    '<scr<script>ipt src="https://a.example/x.js"></script>',
]


class Fetches(HTMLParser):
    """Every element that runs, and every attribute that a browser would fetch or follow."""

    def __init__(self, text):
        super().__init__()
        self.found = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        if tag in ("script", "iframe", "object", "embed", "link", "base", "form"):
            self.found.append(tag)
        for name, value in attrs:
            linking = name in ("src", "href", "xlink:href", "srcset", "poster", "data", "action", "formaction")
            if name.startswith("on") or (linking and not re.match(r"#|data:image/", value or "")):
                self.found.append(f"{tag} {name}={value}")
            if "url(" in (value or "") and not re.search(r"url\(['\"]?#", value):
                self.found.append(f"{tag} {name}={value}")


def notebook(*outputs, markdown="# Title\n\nText"):
    return {
        "cells": [
            {"cell_type": "markdown", "metadata": {}, "source": markdown},
            {"cell_type": "code", "metadata": {}, "source": "x < 1", "outputs": list(outputs)},
        ]
    }


def html_of(*outputs, markdown="# Title\n\nText", failed=""):
    return page(notebook(*outputs, markdown=markdown), RunFacts("Title", [("Build", "a <b>")], [], [], {}, failed))


def shown(data, **metadata):
    return {"output_type": "display_data", "data": data, "metadata": metadata}


@pytest.mark.parametrize("nasty", NASTY)
def test_nothing_runs_and_nothing_is_fetched_whatever_an_output_holds(nasty):
    text = html_of(shown({"text/html": nasty}), markdown=f"# Title\n\n{nasty}")
    assert Fetches(text).found == []
    style = "".join(re.findall(r"<style.*?</style>", text, re.DOTALL))
    assert "a.example" not in style


def test_the_page_tells_the_browser_to_fetch_nothing():
    assert "default-src 'none'" in html_of()


def test_a_link_to_the_outside_is_kept_as_words():
    assert (
        safe_html('<a href="https://a.example/p?a=1&amp;b=2">manual</a>')
        == "<a>manual</a> (https://a.example/p?a=1&amp;b=2)"
    )


def test_what_a_drawing_needs_within_itself_stays():
    svg = '<svg viewBox="0 0 9 9"><defs><clipPath id="a"><rect/></clipPath></defs><g clip-path="url(#a)"><use xlink:href="#b"/></g></svg>'
    kept = safe_html(svg)
    assert 'clip-path="url(#a)"' in kept
    assert 'xlink:href="#b"' in kept
    assert 'viewbox="0 0 9 9"' in kept


def test_text_is_escaped_everywhere():
    text = html_of(
        {"output_type": "stream", "name": "stdout", "text": "<i>&"},
        {"output_type": "error", "ename": "E", "evalue": "<i>", "traceback": ["\x1b[31m<i>\x1b[0m"]},
        shown({"text/plain": "<i>"}),
    )
    assert "<i>" not in text
    assert text.count("&lt;i&gt;") == 4
    assert "a &lt;b&gt;" in text
    assert "x &lt; 1" in text
    assert "\x1b" not in text


def test_the_richest_form_that_needs_no_script_is_shown():
    text = html_of(
        shown({"text/html": "<b>rich</b>", "text/plain": "poor"}),
        shown({"application/vnd.jupyter.widget-view+json": {"model_id": "1"}, "text/plain": "a table"}),
        shown({"image/png": "iVBORw0KGgo=\n", "text/plain": "<Figure>"}, alt="gap at each foot"),
    )
    assert "<b>rich</b>" in text
    assert "poor" not in text
    assert "a table" in text
    assert '<img src="data:image/png;base64,iVBORw0KGgo=" alt="gap at each foot">' in text


def test_the_title_stands_once_and_a_failure_on_top():
    text = html_of(markdown="# Title\n\nPurpose", failed="Cell 3: no <room>")
    assert text.count("<h1>") == 1
    assert "<p>Purpose</p>" in text
    assert text.index("Cell 3: no &lt;room&gt;") < text.index("Purpose")


BOX = "application/vnd.restonb.box+json"


def test_the_box_stands_first_and_once():
    box = shown({"text/html": "<p>the box</p>", "text/plain": "box", BOX: {"word": "stop"}})
    end = shown({"text/html": "<p>the end</p>", BOX: {"word": "stop", "end": True}})
    text = html_of(shown({"text/html": "evidence"}), box, end, markdown="# Title\n\nPurpose")
    assert text.count("the box") == 1
    assert text.index("</header>") < text.index("the box") < text.index("Purpose") < text.index("evidence")
    assert text.index("evidence") < text.index("the end")


def test_a_failed_run_says_so_where_the_box_would_stand():
    box = shown({"text/html": "<p>the box</p>", BOX: {"word": "stop"}})
    text = html_of(box, markdown="# Title\n\nPurpose", failed="Cell 3: no room")
    assert "the box" not in text
    assert text.index("</header>") < text.index("This run failed.") < text.index("Purpose")
    assert "Nothing was decided or filed." in text


def test_parameters_are_shown_with_value_and_meaning_instead_of_code():
    cell = {"cell_type": "code", "metadata": {"tags": ["parameters"]}, "source": "a = 1", "outputs": []}
    known = [Parameter("feet_mm", [], "mm, plan"), Parameter("lift", None, "rise")]
    text = page(
        {"cells": [cell]}, RunFacts("T", [], [], known, {"feet_mm": [[0.0, 120.0], [150.0, 0.0]], "lift": None})
    )
    assert "<td>feet_mm</td><td>0, 120; 150, 0</td><td>mm, plan</td>" in text
    assert "<td>lift</td><td>not given</td><td>rise</td>" in text


def test_a_style_that_several_outputs_bring_stands_once():
    style = "<style>.x { color: red }</style>"
    assert html_of(*[shown({"text/html": style + str(n)}) for n in range(3)]).count(style) == 1


def test_terminal_colours_are_taken_out():
    assert without_escapes("\x1b[1;31mred\x1b[0m") == "red"
