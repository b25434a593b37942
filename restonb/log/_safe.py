"""HTML of outputs made fit for a page that stands alone: nothing that runs, nothing from outside."""

from __future__ import annotations

import re
from html import escape
from html.parser import HTMLParser

__all__ = ["safe_html", "without_escapes"]

DROPPED = frozenset(
    (
        "script",
        "iframe",
        "object",
        "embed",
        "frame",
        "frameset",
        "applet",
        "form",
        "noscript",
        "template",
        "foreignobject",
    )
)
"""Left out with all that is inside."""
VOID = frozenset(("link", "meta", "base", "input", "button", "textarea", "select", "?xml"))
"""Left out, but what is inside stays."""
LINKING = frozenset(
    ("href", "xlink:href", "src", "srcset", "poster", "background", "action", "formaction", "data", "cite", "ping")
)
OWN = re.compile(r"^\s*(#|data:image/(png|jpeg|gif|svg\+xml)[;,])", re.IGNORECASE)
OUTSIDE_CSS = re.compile(r"@import[^;]*;?|url\(\s*['\"]?(?!#|data:image/)[^)]*\)|expression\([^)]*\)", re.IGNORECASE)


def safe_html(text: str) -> str:
    """The same HTML without scripts, embedded pages, handlers and anything that would be fetched.

    A link to the outside becomes its text, with the address behind it in brackets: it is kept, not followed.
    """
    cleaner = _Cleaner()
    cleaner.feed(text)
    cleaner.close()
    return "".join(cleaner.out)


def without_escapes(text: str) -> str:
    """Text without the terminal's colour codes."""
    return re.sub(r"\x1b\[[0-9;]*[A-Za-z]", "", text)


class _Cleaner(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=False)
        self.out: list[str] = []
        self.inside: list[str] = []
        self.links: list[str | None] = []
        self.style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if self.inside or tag in DROPPED:
            if tag in DROPPED:
                self.inside.append(tag)
            return
        if tag in VOID:
            return
        self.style = tag == "style"
        if tag == "a":
            target = dict(attrs).get("href") or ""
            self.links.append(target if target and not OWN.match(target) else None)
        self.out.append(f"<{tag}{_safe_attributes(attrs)}>")

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if not self.inside and tag not in DROPPED and tag not in VOID:
            self.out.append(f"<{tag}{_safe_attributes(attrs)}/>")

    def handle_endtag(self, tag: str) -> None:
        if self.inside:
            if tag == self.inside[-1]:
                self.inside.pop()
            return
        if tag in DROPPED or tag in VOID:
            return
        self.style = False
        self.out.append(f"</{tag}>")
        if tag == "a" and self.links and (target := self.links.pop()):
            self.out.append(f" ({escape(target)})")

    def handle_data(self, data: str) -> None:
        if not self.inside:
            self.out.append(OUTSIDE_CSS.sub("", data) if self.style else data)

    def handle_entityref(self, name: str) -> None:
        self.handle_data(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self.handle_data(f"&#{name};")


def _safe_attributes(attrs: list[tuple[str, str | None]]) -> str:
    kept = ""
    for name, value in attrs:
        text = value or ""
        if name.startswith("on") or (name in LINKING and not OWN.match(text)):
            continue
        if name in ("xmlns", "srcdoc") or name.startswith("xmlns:"):
            continue
        if name == "style" or "url(" in text.lower():
            text = OUTSIDE_CSS.sub("", text)
        kept += f' {name}="{escape(text)}"' if value is not None else f" {name}"
    return kept
