"""Running a template into the dated log: executed notebook, its page, and an entry in the record."""

from __future__ import annotations

import json
import os
import re
import sys
import tempfile
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime
from html import escape
from pathlib import Path
from typing import Any

from restonb.errors import BuildError, RunError
from restonb.log._execute import Executed, execute
from restonb.log._keep import keep, sweep_log
from restonb.log._kernels import Kernels
from restonb.log._page import RunFacts, page
from restonb.log._parameters import merged, write_cell
from restonb.log._templates import Template, find_template, parameters_cell, source_of
from restonb.log._templates import templates as all_templates
from restonb.record import BOX_MIME, Changes, Record, Run, basis_of, basis_used, compare_filed, enter_run, runs
from restonb.stated import Build

__all__ = ["TIME_LIMIT", "previous", "run", "run_all", "values_for", "what_changed"]

FILED = "application/vnd.restonb.filed+json"
TIME_LIMIT = 300.0
WORTH_PREPARING = 3
"""From so many runs on, importing once costs less than importing for each."""
PACKAGES = ("restonb", "papermill", "ipykernel", "numpy", "scipy", "pandas", "matplotlib", "pint")


def run(
    build: Build,
    record: Record,
    template: str,
    parameters: Mapping[str, Any] | None = None,
    at: datetime | None = None,
    time_limit: float = TIME_LIMIT,
    kernels: Kernels | None = None,
) -> Run:
    """Execute a template and file it in build.log; a run that fails is filed too, as failed.

    `parameters` go over those of build.toml, and those over the template's own. `at` dates the folder (else the
    record's clock). Each cell has `time_limit` seconds. The notebook sees the record as it was when this began.
    `kernels` serves several runs that follow each other, so that each starts sooner.
    Raises RunError, before anything starts, for an unknown template or parameter, or a value of the wrong type; and
    RecordError where nothing can be written.
    """
    sweep_log(build)
    job = _begin(build, record, template, parameters, at)
    return _file(build, record, job, _execute(build, job, time_limit, kernels or Kernels()))


def run_all(
    build: Build,
    record: Record,
    templates: Iterable[str | tuple[str, Mapping[str, Any]]],
    at: datetime | None = None,
    progress: Callable[[Run], None] | None = None,
    time_limit: float = TIME_LIMIT,
) -> list[Run]:
    """Execute several templates, as many at a time as there are processors (four at most), and file them in the
    order given. An item is a template, or a template with its parameters.

    Every notebook sees the record as it was when this began, so that no result depends on which run ended first.
    `progress` is told of every run as soon as it is filed. Otherwise as `run`: errors, if any, before anything starts.
    """
    sweep_log(build)
    wanted = [(one, None) if isinstance(one, str) else one for one in templates]
    jobs = [_begin(build, record, name, parameters, at) for name, parameters in wanted]
    done = []
    with Kernels(prepared=len(jobs) >= WORTH_PREPARING) as kernels, ThreadPoolExecutor(_workers()) as pool:
        try:
            executed = [pool.submit(_execute, build, job, time_limit, kernels) for job in jobs]
            for job, one in zip(jobs, executed, strict=True):
                done.append(_file(build, record, job, one.result()))
                if progress:
                    progress(done[-1])
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return done


@dataclass(frozen=True, slots=True)
class _Job:
    """All that a run is made from, settled before it starts."""

    template: Template
    values: dict[str, Any]
    when: datetime
    head: dict[str, Any]
    spec: dict[str, str]
    basis: dict[str, Any]


def _begin(
    build: Build, record: Record, template: str, parameters: Mapping[str, Any] | None, at: datetime | None
) -> _Job:
    record.check_writable()
    chosen = find_template(build, template)
    if chosen.is_plain and not chosen.serves:
        chosen = _of_sheet(build, chosen, parameters)
    values = values_for(build, chosen, parameters)
    head = record.head()
    seen = {"seq": head.seq, "digest": head.digest} if head else {"seq": 0, "digest": ""}
    basis = basis_of(build, chosen.sheet, chosen.path, parameters or {})
    return _Job(chosen, values, at or record.clock(), seen, _spec(build, chosen.sheet), basis)


def _of_sheet(build: Build, plain: Template, parameters: Mapping[str, Any] | None) -> Template:
    """The plain template, asked for by its own name, as that of the sheet that its parameter names."""
    sheet = str((parameters or {}).get("sheet") or "")
    if not sheet:
        raise RunError(
            f"{plain.short} judges any one sheet; say which: -p sheet={next(iter(build.specs.sheets), 'NAME')}"
        )
    return plain.serving(sheet, build.specs.subsystem(sheet))


def _execute(build: Build, job: _Job, time_limit: float, kernels: Kernels) -> Executed:
    told = {
        "template": job.template.name,
        "digest": job.template.digest,
        "parameters": job.values,
        "at": job.when.isoformat(),
        "safety": job.template.safety,
    }
    environment = {
        "RESTONB_BUILD": str(build.folder),
        "RESTONB_HEAD": str(job.head["seq"]),
        "RESTONB_STATIC": "1",
        "RESTONB_RUN": json.dumps(told),
    }
    return execute(_prepared(job.template, job.values), environment, build.folder, time_limit, kernels)


def _file(build: Build, record: Record, job: _Job, done: Executed) -> Run:
    """Both files into the log, then the entry: a run that the record knows is whole."""
    chosen, when = job.template, job.when
    notebook = _without_paths(done.notebook, build)
    filed = _filed(notebook)
    if filed is not None and chosen.safety:
        filed["safety"] = True
    reason = _without_path(done.reason, build)
    if not done.failed and filed is None:
        reason = "it filed nothing; let its last cell call sheet.file()"
    if reason:
        _without_box(notebook, reason)
    body = {
        "template": chosen.name,
        "sheet": chosen.sheet,
        "subsystem": _subsystem(build, chosen),
        "state": "failed" if reason else "good",
        "reason": reason,
        "cell": None if done.cell is None else done.cell + 1,
        "parameters": job.values,
        "template_digest": chosen.digest,
        "head": job.head,
        "filed": filed or {},
        "spec": job.spec,
        "versions": _versions(),
        "basis": basis_used(job.basis, record, filed or {}),
        "seconds": round(done.seconds, 2),
    }
    notebook["metadata"]["restonb"] = {
        k: body[k] for k in ("template", "sheet", "parameters", "template_digest", "head")
    }
    facts = _facts(build, chosen, body, when)
    text = json.dumps(notebook, indent=1, ensure_ascii=False, sort_keys=True) + "\n"
    made = {f"{chosen.short}.ipynb": text, f"{chosen.short}.html": page(notebook, facts)}
    body["folder"], body["files"] = keep(build, chosen.short, when, made)
    entry = enter_run(record, body)
    return Run(seq=entry.seq, at=entry.at, **entry.body)


def _workers() -> int:
    """How many notebooks at a time."""
    count = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(count, 4)


def values_for(build: Build, template: Template, parameters: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """The parameters that a run will have. Raises RunError on an unknown or ill-typed one."""
    standing = build.parameters.get(template.sheet, {})
    if template.serves and any(t.sheet == template.sheet and not t.serves for t in all_templates(build)):
        takes = {p.name for p in template.parameters}  # the others are for the sheet's own template
        standing = {name: value for name, value in standing.items() if name in takes}
    layers: list[tuple[str, Mapping[str, Any]]] = [
        ("the sheet that it serves", {"sheet": template.serves} if template.serves else {}),
        (f"build.toml, [parameters.{template.sheet}]", standing),
        ("given for this run", dict(parameters or {})),
    ]
    values = merged(template.parameters, layers, template.short, template.former)
    if values.get("sheet", template.sheet) != template.sheet:
        raise RunError(f"this template judges {template.sheet}; for {values['sheet']}, run {values['sheet']}")
    return values


def previous(record: Record, run: Run) -> Run | None:
    """The good run of the same sheet before this one."""
    before = [r for r in runs(record, run.sheet) if r.good and r.seq < run.seq]
    return before[-1] if before else None


def what_changed(record: Record, run: Run) -> Changes:
    """What differs in this run from the good one before it."""
    return compare_filed(previous(record, run), run)


def _prepared(template: Template, values: Mapping[str, Any]) -> dict[str, Any]:
    """The template with these parameters and without outputs."""
    notebook: dict[str, Any] = json.loads(json.dumps(template.notebook))
    cell = parameters_cell(notebook)
    if cell is not None:
        cell["source"] = write_cell(source_of(cell), values)
    for one in notebook["cells"]:
        if one["cell_type"] == "code":
            one["outputs"], one["execution_count"] = [], None
    return notebook


def _filed(notebook: Mapping[str, Any]) -> dict[str, Any] | None:
    """What the sheet filed, from the outputs; taken out of them, since the entry holds it."""
    found = None
    for cell in notebook["cells"]:
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            if FILED in data:
                found = data.pop(FILED)
    return found


def _without_box(notebook: Mapping[str, Any], reason: str) -> None:
    """Say in the place of the box that the run failed: what a cell of it decided was never filed."""
    said = f"This run failed: {reason}. Nothing was decided or filed."
    for cell in notebook["cells"]:
        for output in cell.get("outputs", []):
            if BOX_MIME in output.get("data", {}):
                html = f'<p role="alert"><strong>✕ failed</strong> {escape(said)}</p>'
                told = {**output["data"][BOX_MIME], "word": "failed"}
                output["data"] = {BOX_MIME: told, "text/html": html, "text/plain": f"✕ failed. {said}"}


def _spec(build: Build, sheet: str) -> dict[str, str]:
    """Digest of every row of the sheet; a sheet that the spec book lacks has none."""
    return {row.key: build.specs.digest(row) for row in build.specs if row.sheet == sheet}


def _subsystem(build: Build, template: Template) -> str:
    try:
        return build.specs.subsystem(template.sheet)
    except BuildError:
        return template.subsystem


def _versions() -> dict[str, str]:
    from importlib.metadata import PackageNotFoundError, version

    found = {"python": ".".join(map(str, sys.version_info[:3]))}
    for name in PACKAGES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            continue
    return found


def _facts(build: Build, template: Template, body: Mapping[str, Any], when: datetime) -> RunFacts:
    head = body["head"]
    where = f"Cell {body['cell']}: " if body["cell"] else ""
    machine = ", ".join(str(build.machine[k]) for k in ("make", "model", "year") if build.machine.get(k))
    card = [
        ("Build", build.name),
        ("Machine", machine),
        ("Date", when.strftime("%Y-%m-%d %H:%M")),
        ("Record as of entry", str(head["seq"])),
    ]
    foot = [
        ("Record head", head["digest"] or "empty record"),
        ("Template", f"{template.name} {template.digest[:16]}" + (", own copy" if template.own else "")),
        ("Made with", ", ".join(f"{k} {v}" for k, v in body["versions"].items())),
    ]
    return RunFacts(
        template.title, [(k, v) for k, v in card if v], foot, template.parameters, body["parameters"],
        f"{where}{body['reason']}" if body["reason"] else "",
    )  # fmt: skip


def _without_paths(notebook: dict[str, Any], build: Build) -> dict[str, Any]:
    """Error texts and traces without the folders of this machine."""
    for cell in notebook["cells"]:
        for output in cell.get("outputs", []):
            if output["output_type"] == "error":
                output["evalue"] = _without_path(output["evalue"], build)
                output["traceback"] = [_without_path(line, build) for line in output["traceback"]]
            elif output["output_type"] == "stream":
                text = output["text"]
                output["text"] = _without_path(text if isinstance(text, str) else "".join(text), build)
    return notebook


def _without_path(text: str, build: Build) -> str:
    import restonb

    places = {
        str(build.folder): "the build",
        str(Path(restonb.__file__).resolve().parent): "restonb",
        sys.prefix: "python",
        sys.base_prefix: "python",
        tempfile.gettempdir(): "tmp",
        str(Path.home()): "~",
    }
    for place in sorted(places, key=len, reverse=True):
        if len(place) > 1:
            text = re.sub(rf"{re.escape(place)}(?=[/\\\s:'\")\]]|$)", places[place], text)
    return text
