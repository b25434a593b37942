"""A result as text, as data and as HTML: formula, numbers put in, result, source, limits of use."""

from __future__ import annotations

import dataclasses
import math
from html import escape
from typing import TYPE_CHECKING, Any

from restonb.formulas.sources import cite
from restonb.quantity import write, write_number

if TYPE_CHECKING:
    from restonb.formulas._core import Formula
    from restonb.formulas._result import Given, Part, Result


def number(value: float) -> str:
    """Five significant digits, no exponent where a mechanic would not write one."""
    if abs(value) < 1e-12:  # what is left of a difference of equal numbers
        return "0"
    if not math.isfinite(value):
        return str(value)
    size = math.floor(math.log10(abs(value)))
    if size > 8 or size < -6:
        return f"{value:.4e}"
    digits = max(0, 4 - size)
    text = f"{value:.{digits}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"


def with_unit(value: Any, unit: str | None, u: float | None = None) -> str:
    """A value, a list of them or a word as a person writes it, with its unit."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)) and not hasattr(value, "text"):
        return _listed(value, unit)
    if isinstance(value, int) or not isinstance(value, float):
        text = getattr(value, "text", None) or str(value)
        return text if unit in (None, "1", "") else f"{text} {unit}"
    if u:
        return write(value, unit or "1", 2 * u) + f" ± {write_number(2 * u, 2 * u)} (k = 2)"
    return number(value) if unit in (None, "1", "") else f"{number(value)} {unit}"


def _listed(values: Any, unit: str | None) -> str:
    if values and isinstance(values[0], (list, tuple)):
        return "; ".join("(" + ", ".join(_bare(x) for x in row) + ")" for row in values) + _unit(unit)
    if values and isinstance(values[0], str):
        return ", ".join(values)
    return ", ".join(_bare(v) for v in values) + _unit(unit)


def _bare(value: Any) -> str:
    return number(value) if isinstance(value, float) else with_unit(value, None)


def _unit(unit: str | None) -> str:
    return "" if unit in (None, "1", "") else f" {unit}"


def given_line(given: Given) -> str:
    text = with_unit(given.value, given.unit, given.u)
    if given.stands_for:
        return f"{text} ({given.stands_for})"
    if given.typed and given.typed != text and isinstance(given.value, float):
        return f"{given.typed} (read as {text})" if not given.u else text
    return text


def called(symbol: str, what: str) -> str:
    """'F, wanted preload': what stands for it in the formula's text, and what it means."""
    return f"{symbol}, {what}" if symbol and what else symbol or what


def as_text(result: Result) -> str:
    of = result.formula
    rows = [(g.name, given_line(g), called(g.symbol, g.what)) for g in result.given if g.value is not None]
    answers = [(p.name, with_unit(p.value, p.unit, p.u), called(p.symbol, p.what)) for p in _worth(result)]
    wide = max((len(r[0]) for r in rows + answers), default=0)
    lines = [f"{of.name}: {of.answers}", f"  formula: {of.text}", "  given:"]
    lines += [f"    {n:<{wide}}  {v}" + (f"   {w}" if w else "") for n, v, w in rows]
    lines.append("  result:")
    lines += [f"    {n:<{wide}}  {v}" + (f"   {w}" if w else "") for n, v, w in answers]
    for field in ("steps", "notes", "cautions"):
        texts = result.texts(field)
        if texts:
            lines.append(f"  {field}:")
            lines += [f"    {i}. {t}" if field == "steps" else f"    - {t}" for i, t in enumerate(texts, 1)]
    return "\n".join(lines + _stands_on(of))


def _stands_on(of: Formula[..., Any]) -> list[str]:
    lines = [f"  source: {cite(key)}" for key in of.source]
    lines.append(f"  valid: {of.valid}")
    return [*lines, f"  not for: {of.not_for}"] if of.not_for else lines


def as_data(result: Result) -> dict[str, Any]:
    of = result.formula
    return {
        "formula": of.name,
        "answers": of.answers,
        "text": of.text,
        "given": {g.name: _datum(g) for g in result.given},
        "result": {p.name: _datum(p) for p in result.parts},
        **{f: list(result.texts(f)) for f in ("steps", "notes", "cautions") if result.texts(f)},
        "source": [cite(key) for key in of.source],
        "valid": of.valid,
        "not_for": of.not_for,
    }


def _datum(item: Given | Part) -> dict[str, Any]:
    datum: dict[str, Any] = {"value": plain(item.value)}
    if stands_for := getattr(item, "stands_for", ""):
        datum["stands_for"] = stands_for
    if item.unit is not None:
        datum["unit"] = item.unit
    if item.u is not None:
        datum["u"] = item.u
    if item.symbol:
        datum["symbol"] = item.symbol
    return datum


def plain(value: Any) -> Any:
    """The value in the types that JSON has."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, (str, int, float, bool)) or value is None:
        return value
    return str(value)


def as_html(result: Result) -> str:
    of = result.formula
    head = f"<caption><b>{escape(of.answers)}</b><br><code>{escape(of.text)}</code></caption>"
    rows = [
        f"<tr><td>{escape(g.label)}</td><td>{escape(given_line(g))}</td></tr>"
        for g in result.given
        if g.value is not None
    ]
    rows += [
        f"<tr><th scope='row'>{escape(p.label)}</th><td><b>{escape(with_unit(p.value, p.unit, p.u))}</b></td></tr>"
        for p in _worth(result)
    ]
    tail = "".join(
        f"<p><b>{field.capitalize()}</b></p><{tag}>" + "".join(f"<li>{escape(t)}</li>" for t in texts) + f"</{tag}>"
        for field, tag in (("steps", "ol"), ("notes", "ul"), ("cautions", "ul"))
        if (texts := result.texts(field))
    )
    source = "; ".join(escape(cite(key)) for key in of.source)
    foot = f"<p><small>Source: {source}. Valid: {escape(of.valid)}."
    foot += f" Not for: {escape(of.not_for)}." if of.not_for else ""
    return f"<div class='restonb-result'><table>{head}{''.join(rows)}</table>{tail}{foot}</small></p></div>"


def _worth(result: Result) -> list[Part]:
    return [p for p in result.parts if p.value is not None and p.value != ()]


def call_line(of: Formula[..., Any]) -> str:
    """The arguments of a formula in one line: 'preload (N), diameter (mm), nut_factor (1, else 0.2)'."""
    shown = []
    for name, parameter in of.signature.parameters.items():
        _, mark = of.arguments[name]
        about = ", ".join(mark.choices) if mark.choices else mark.unit or "text"
        if parameter.default is not parameter.empty:
            about += f", else {with_unit(parameter.default, None)}"
        shown.append(f"{name} ({about})")
    return ", ".join(shown)


def card_data(of: Formula[..., Any]) -> dict[str, Any]:
    """What a formula is, before any number is put in, as plain data."""
    takes = []
    for name, parameter in of.signature.parameters.items():
        _, mark = of.arguments[name]
        unit = "one of " + ", ".join(mark.choices) if mark.choices else mark.unit or ""
        need = "needed" if parameter.default is parameter.empty else f"else {with_unit(parameter.default, None)}"
        takes.append({"name": name, "unit": unit, "need": need, "what": mark.what, "symbol": mark.symbol})
    gives = [{"name": n, "unit": unit or "", "what": what, "symbol": symbol} for n, unit, what, symbol in of.results]
    return {
        "formula": of.name,
        "answers": of.answers,
        "text": of.text,
        "takes": takes,
        "gives": gives,
        "source": [cite(key) for key in of.source],
        "valid": of.valid,
        "not_for": of.not_for,
    }


def card_text(of: Formula[..., Any]) -> str:
    """The same, as lines of text."""
    card = card_data(of)
    lines = [f"{of.name}: {of.answers}", f"  formula: {of.text}"]
    for title in ("takes", "gives"):
        lines.append(f"  {title}:")
        wide = max(len(row["name"]) for row in card[title])
        for row in card[title]:
            unit = f" [{row['unit']}]" if row["unit"] not in ("", "1") else ""
            need = f"  ({row['need']})" if "need" in row else ""
            lines.append(f"    {row['name']:<{wide}}  {called(row['symbol'], row['what'])}{unit}{need}")
    return "\n".join(lines + _stands_on(of))


def as_doc(of: Formula[..., Any]) -> str:
    """The formula for `help()`, in the numpy convention: arguments with units and symbols, result, validity, source."""
    lines = [of.question, "", f"    {of.text}", "", "Parameters", "----------"]
    for name, parameter in of.signature.parameters.items():
        kind, mark = of.arguments[name]
        default = "" if parameter.default is parameter.empty else f", default {with_unit(parameter.default, None)}"
        lines.append(f"{name} : {_kind(kind, mark)}{default}")
        lines.append(f"    {called(mark.symbol, mark.what)}".rstrip())
    lines += ["", "Returns", "-------"]
    for name, unit, what, symbol in of.results:
        lines += [
            f"{name} : {unit or 'text'}" if unit != "1" else f"{name} : number",
            f"    {called(symbol, what)}".rstrip(),
        ]
    lines += [
        "",
        "Raises",
        "------",
        "FormulaError",
        "    Where an argument is of the wrong kind or out of range, or the geometry cannot be.",
    ]
    lines += ["", "Notes", "-----", f"Valid: {of.valid}."]
    lines += [f"Not for: {of.not_for}."] if of.not_for else []
    return "\n".join([*lines, "", "References", "----------", *(cite(key) for key in of.source)])


def _kind(kind: Any, mark: Any) -> str:
    if mark.choices:
        return "one of " + ", ".join(repr(choice) for choice in mark.choices)
    if kind is bool:
        return "bool"
    if mark.unit is None:
        return getattr(kind, "__name__", str(kind).replace("collections.abc.", "").replace("typing.", ""))
    several = "several, " if "Sequence" in str(kind) else ""
    return several + ("number" if mark.unit == "1" else mark.unit)


def formula_html(of: Formula[..., Any]) -> str:
    return (
        f"<div><b>{escape(of.name)}</b>: {escape(of.answers)}<br><code>{escape(of.text)}</code><br>"
        f"<small>takes {escape(call_line(of))}</small></div>"
    )
