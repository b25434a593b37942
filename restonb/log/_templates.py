"""Templates: those that ship with restonb, and the person's copies, which take their place by name."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from restonb.errors import RunError
from restonb.log._parameters import Parameter, read_cell, write_cell
from restonb.stated import Build, shipped
from restonb.words import near

__all__ = ["Template", "copy_template", "find_template", "templates"]


@dataclass(frozen=True)
class Template:
    """One notebook that can be run. `name` is 'subsystem/sheet'; `own` tells the person's copies.

    `serves` is the sheet that a plain template stands in for, which has no template of its own.
    """

    name: str
    path: Path
    own: bool = False
    serves: str = ""

    @property
    def subsystem(self) -> str:
        return self.name.rpartition("/")[0]

    @property
    def short(self) -> str:
        return self.name.rpartition("/")[2]

    @property
    def sheet(self) -> str:
        """The sheet that it fills: as its metadata says, else its own name."""
        return self.serves or str(self._about.get("sheet", self.short))

    @property
    def safety(self) -> bool:
        """Whether the whole job is about safety: then what it leaves open keeps the machine off the road."""
        return bool(self._about.get("safety"))

    @property
    def is_plain(self) -> bool:
        """Whether it serves any sheet of the spec book, named by its parameter `sheet`."""
        return bool(self._about.get("any_sheet"))

    def serving(self, sheet: str, subsystem: str) -> Template:
        """A plain template as the template of that sheet."""
        return replace(self, name=f"{subsystem}/{sheet}", serves=sheet)

    @property
    def former(self) -> dict[str, str]:
        """Parameters that earlier versions of it took -> what is written instead of each."""
        return {str(name): str(instead) for name, instead in self._about.get("former", {}).items()}

    @property
    def _about(self) -> dict[str, Any]:
        return dict(self.notebook.get("metadata", {}).get("restonb", {}))

    @property
    def title(self) -> str:
        """The first heading; that of a plain template, and the sheet that it serves."""
        served = f": {self.serves.replace('_', ' ')}" if self.serves else ""
        return self._heading + served

    @property
    def _heading(self) -> str:
        for cell in self.notebook["cells"]:
            if cell["cell_type"] == "markdown":
                for line in source_of(cell).splitlines():
                    if line.startswith("# "):
                        return line[2:].strip()
        return self.short.replace("_", " ")

    @cached_property
    def notebook(self) -> dict[str, Any]:
        """The notebook as its JSON; read once."""
        try:
            notebook = json.loads(self.path.read_text(encoding="utf-8"))
            notebook["cells"][:0]
        except (OSError, ValueError, KeyError, TypeError):
            raise RunError(f"{self.path.name} is not a notebook that can be read; take a fresh copy") from None
        return dict(notebook)

    @cached_property
    def parameters(self) -> tuple[Parameter, ...]:
        """What its `parameters` cell assigns; empty without such a cell."""
        cell = parameters_cell(self.notebook)
        return read_cell(source_of(cell), f"{self.name}: the parameters cell") if cell else ()

    @property
    def digest(self) -> str:
        """SHA-256 over the kind and the text of every cell: outputs and metadata do not count."""
        cells = [[cell["cell_type"], source_of(cell)] for cell in self.notebook["cells"]]
        return hashlib.sha256(json.dumps(cells, ensure_ascii=False).encode()).hexdigest()


def templates(build: Build | None = None) -> list[Template]:
    """Every template by name: the shipped ones, and the copies in build.notebooks in their place.

    In a build, a sheet of the spec book that has none is served by the plain template, once for each such sheet.
    Raises BuildError where the spec book has mistakes.
    """
    found = _notebooks(build)
    if build is not None:
        plain = [found.pop(t.name) for t in list(found.values()) if t.is_plain]
        own = {t.sheet for t in found.values()}
        for sheet in build.specs.sheets if plain else ():
            if sheet not in own:
                served = plain[0].serving(sheet, build.specs.subsystem(sheet))
                found[served.name] = served
    return [found[name] for name in sorted(found)]


def _notebooks(build: Build | None) -> dict[str, Template]:
    found = {t.name: t for t in _within(shipped("notebooks"), own=False)}
    if build is not None:
        found.update({t.name: t for t in _within(build.notebooks, own=True)})
    return found


def find_template(build: Build | None, name: str) -> Template:
    """The template of this name; without its subsystem where only one has that name."""
    plain = {t.name: t for t in _notebooks(build).values() if t.is_plain}
    known = plain | {t.name: t for t in templates(build)}
    wanted = name.removesuffix(".ipynb")
    if wanted in known:
        return known[wanted]
    same = [t for t in known.values() if t.short == wanted]
    if len(same) == 1:
        return same[0]
    if same:
        raise RunError(f"'{name}' is the name of several; write {' or '.join(t.name for t in same)}")
    guesses = near(wanted, (*known, *(t.short for t in known.values())), 3) or [
        t.short for t in known.values() if t.short.startswith(wanted[:4])
    ]
    hint = (
        f"did you mean {' or '.join(guesses)}?"
        if guesses
        else "'restonb run' lists them"
        if known
        else "there are none"
    )
    raise RunError(f"no template {name!r}; {hint}")


def copy_template(build: Build, name: str) -> Path:
    """The person's own copy in build.notebooks, made once, with the parameters of build.toml filled in."""
    template = find_template(build, name)
    if template.own:
        return template.path
    notebook = json.loads(template.path.read_text(encoding="utf-8"))
    cell = parameters_cell(notebook)
    if cell:
        known = {p.name: p for p in template.parameters}
        standing = build.parameters.get(template.sheet, {})
        values = {n: known[n].take(v) for n, v in standing.items() if n in known}
        values |= {"sheet": template.serves} if template.serves else {}
        cell["source"] = write_cell(source_of(cell), values).splitlines(keepends=True)
    if template.serves:
        _made_its_own(notebook, template)
    path = build.notebooks / f"{template.name}.ipynb"
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("x", encoding="utf-8") as file:
        file.write(json.dumps(notebook, indent=1, ensure_ascii=False) + "\n")
    return path


def _made_its_own(notebook: dict[str, Any], template: Template) -> None:
    """The copy of a plain template is the template of one sheet, and its heading says of which."""
    notebook["metadata"]["restonb"] = {"sheet": template.serves}
    for cell in notebook["cells"]:
        if source_of(cell).startswith("# "):
            rest = source_of(cell).partition("\n")[2]
            cell["source"] = f"# {template.title}\n{rest}".splitlines(keepends=True)
            return


def parameters_cell(notebook: dict[str, Any]) -> dict[str, Any] | None:
    """The first code cell tagged 'parameters'."""
    for cell in notebook["cells"]:
        if cell["cell_type"] == "code" and "parameters" in cell.get("metadata", {}).get("tags", []):
            found: dict[str, Any] = cell
            return found
    return None


def source_of(cell: dict[str, Any]) -> str:
    """The text of a cell, which a notebook may keep as one string or as lines."""
    source = cell["source"]
    return source if isinstance(source, str) else "".join(source)


def _within(folder: Path, own: bool) -> list[Template]:
    if not folder.is_dir():
        return []
    found = []
    for path in sorted(folder.rglob("*.ipynb")):
        name = path.relative_to(folder).with_suffix("").as_posix()
        if not any(part.startswith(".") for part in name.split("/")):
            found.append(Template(name, path, own))
    return found
