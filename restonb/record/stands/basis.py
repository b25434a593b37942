"""What a run took from files that people edit: kept with the run, and held against the files as they stand today."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from restonb.record._journal import Record
from restonb.record.views import Run

if TYPE_CHECKING:
    from restonb.measure import Instrument
    from restonb.stated import Build

__all__ = ["basis_of", "basis_used", "edits", "gauge_changes", "judged_by"]

_STATED = {
    "unit": "unit",
    "resolution": "resolution",
    "error": "error limit",
    "percent": "error in per cent of the reading",
    "expansion": "expansion",
}
"""What of a gauge bears on a verdict, and how it is called."""


def basis_of(build: Build, sheet: str, template: Path, given: Mapping[str, Any]) -> dict[str, Any]:
    """Everything that a run of the notebook `template` may take from files, as it begins.

    `given` are the parameters of this run alone: those of build.toml do not bear on what they replace.
    """
    from hashlib import sha256

    raw = template.read_bytes()
    return {
        **judged_by(build),
        "standing": build.parameters.get(sheet, {}),
        "given": sorted(given),
        "joints": sorted(build.joints.relied_on(sheet)),
        "template": {"file": _below(build, template), "sha256": sha256(raw).hexdigest(), "code": _code(raw)[0]},
    }


def judged_by(build: Build) -> dict[str, Any]:
    """The rule and the gauges, as they are stated now: what every verdict rests on."""
    return {
        "rule": build.rule,
        "instruments": {key: _gauge(gauge) for key, gauge in build.instruments.items()},
    }


def basis_used(basis: Mapping[str, Any], record: Record, filed: Mapping[str, Any]) -> dict[str, Any]:
    """Of that, what the filed result did take: the gauges of its readings, and the rule where it has verdicts."""
    seqs = [*(filed.get("readings") or ()), *(v.get("seq") for v in filed.get("verdicts") or ())]
    rows = record.rows(
        "SELECT DISTINCT json_extract(body, '$.instrument') FROM said"
        " WHERE seq IN (SELECT value FROM json_each(?)) AND kind = 'reading'",
        (json.dumps([seq for seq in seqs if isinstance(seq, int)]),),
    )
    used = {key for (key,) in rows}
    return {
        **basis,
        "rule": basis["rule"] if filed.get("verdicts") else "",
        "instruments": {key: row for key, row in basis["instruments"].items() if key in used},
    }


def edits(build: Build, run: Run) -> Iterator[str]:
    """What those files say otherwise today, in words. A run that was filed without its basis is not judged."""
    basis = run.basis
    if not basis:
        return
    yield from _gauges(build, basis.get("instruments") or {})
    rule = basis.get("rule")
    if rule and rule != build.rule:
        yield f"the rule was changed from {rule} to {build.rule}"
    yield from _standing(basis, build.parameters.get(run.sheet, {}))
    yield from _template(build, run)


def _gauges(build: Build, then: Mapping[str, Mapping[str, Any]]) -> Iterator[str]:
    for key, row in then.items():
        gauge = build.instruments.get(key)
        if gauge is None:
            yield f"{key} was taken out of instruments.csv"
            continue
        for word, was, to in gauge_changes(row, _gauge(gauge)):
            yield f"the {word} of {key} was changed from {was} to {to}"


def gauge_changes(then: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """What of a gauge is stated otherwise: (error limit, 0.02 mm, 0.03 mm)."""
    for name, word in _STATED.items():
        none = 0 if name == "percent" else None  # filed before a gauge could state it
        if now.get(name, none) != then.get(name, none):
            yield word, _with_unit(then, name), _with_unit(now, name)


def _standing(basis: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[str]:
    then = basis.get("standing") or {}
    for name in dict.fromkeys((*then, *now)):
        if name in (basis.get("given") or ()):
            continue
        if name not in now:
            yield f"the standing parameter {name} was taken out of build.toml"
        elif name not in then:
            yield f"the standing parameter {name} was added to build.toml"
        elif then[name] != now[name]:
            yield f"the standing parameter {name} was changed from {_value_text(then[name])} to {_value_text(now[name])}"


def _template(build: Build, run: Run) -> Iterator[str]:
    """Only what bears on the result: code, and the values of parameters that nothing replaces."""
    from hashlib import sha256

    then = run.basis.get("template") or {}
    path = _template_file(build, run.template, str(then.get("file", "")))
    if path is None:
        return
    try:
        raw = path.read_bytes()
        if sha256(raw).hexdigest() == then.get("sha256"):
            return
        code, parameters = _code(raw)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        yield "the template has been edited since, and is not a notebook that can be read"
        return
    values = _defaults(parameters)
    if code != then.get("code") or (values is not None and set(values) != set(run.parameters)):
        yield "the template has been edited since"
        return
    replaced = {*(run.basis.get("given") or ()), *build.parameters.get(run.sheet, {})}
    for name, value in (values or {}).items():
        was = run.parameters[name]
        if name not in replaced and value != was and not (name == "sheet" and was == run.sheet):
            yield f"the parameter {name} of the template was changed from {_value_text(was)} to {_value_text(value)}"


def _template_file(build: Build, name: str, file: str) -> Path | None:
    """The notebook that would run today: the person's own before the shipped one, as the log chooses."""
    from restonb.stated import shipped

    for path in dict.fromkeys((f"{name}.ipynb", file)):
        for folder in (build.notebooks, shipped("notebooks")):
            if path and (folder / path).is_file():
                return folder / path
    return None


def _below(build: Build, template: Path) -> str:
    """The path within the folder of templates that it lies in."""
    from restonb.stated import shipped

    for folder in (build.notebooks, shipped("notebooks")):
        if template.is_relative_to(folder):
            return template.relative_to(folder).as_posix()
    return template.name


def _code(raw: bytes) -> tuple[str, str]:
    """SHA-256 over the code of a notebook without its parameters, and the text of these."""
    from hashlib import sha256

    code: list[str] = []
    parameters = ""
    for cell in json.loads(raw)["cells"]:
        if cell["cell_type"] != "code":
            continue
        source = cell["source"] if isinstance(cell["source"], str) else "".join(cell["source"])
        if "parameters" in cell.get("metadata", {}).get("tags", ()):
            parameters = source
        else:
            code.append(source)
    return sha256(json.dumps(code, ensure_ascii=False).encode()).hexdigest(), parameters


def _defaults(source: str) -> dict[str, Any] | None:
    """Name and value of every plain assignment; None where there is anything else."""
    import ast

    found: dict[str, Any] = {}
    try:
        for statement in ast.parse(source).body:
            if isinstance(statement, ast.Assign):
                name, value = statement.targets[0], statement.value
            elif isinstance(statement, ast.AnnAssign) and statement.value is not None:
                name, value = statement.target, statement.value
            else:
                return None
            found[getattr(name, "id", "")] = json.loads(json.dumps(ast.literal_eval(value)))
    except (SyntaxError, ValueError, TypeError):
        return None
    return found


def _gauge(gauge: Instrument) -> dict[str, Any]:
    return {name: getattr(gauge, name) for name in _STATED}


def _with_unit(row: Mapping[str, Any], name: str) -> str:
    value = row.get(name, 0 if name == "percent" else None)
    if value is None:
        return "nothing"
    return f"{_value_text(value)} {row.get('unit', '')}" if name in ("resolution", "error") else _value_text(value)


def _value_text(value: Any) -> str:
    """3.0 and 3 alike as '3': JSON does not tell them apart."""
    if isinstance(value, list):
        return "[" + ", ".join(map(_value_text, value)) + "]"
    if value is None:
        return "none"
    return f"{value:.12g}" if isinstance(value, float) else str(value)
