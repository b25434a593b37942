"""Handing over: the document, the data, the photographs and the log in one bag and one zip, whole or not at all."""

from __future__ import annotations

import json
import os
import re
import shutil
from collections import Counter
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from datetime import datetime
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from restonb import __version__
from restonb.errors import HandoverError
from restonb.handover import bag, check, photos
from restonb.handover.contents import photos_shown, report_of
from restonb.handover.contents._method import NOT_A_CERTIFICATE
from restonb.handover.contents._words import minute
from restonb.handover.data import write_entries, write_tables
from restonb.handover.facts import Facts, Picture, state_of
from restonb.handover.html import write_html
from restonb.handover.logfiles import copy_log
from restonb.handover.pdf import Attachment, write_pdf
from restonb.handover.privacy import CHOICES, chosen, left_out
from restonb.handover.report import as_data

if TYPE_CHECKING:
    from restonb.record import Record
    from restonb.stated import Build

__all__ = ["Handover", "hand_over", "preview"]

Progress = Callable[[str, int, int], None]
"""Hears what is being done, how far it is, and out of how many."""


@dataclass(frozen=True, slots=True)
class Handover:
    """What was made. `seal` and `head` are the two digests to note down and to give to the receiver."""

    folder: Path
    zip: Path
    pdf: Path
    html: Path
    seal_file: Path
    seal: str
    head: str
    left_out: tuple[str, ...]
    missing: tuple[str, ...]
    """Photographs and runs that the record names and the build folder lacks."""


def hand_over(
    build: Build,
    record: Record,
    folder: Path | str | None = None,
    as_of: Any = None,
    include: Collection[str] = (),
    at: datetime | None = None,
    progress: Progress | None = None,
) -> Handover:
    """Export the record as of a moment into `folder` (the build's handover/ when left out), and enter that it was.

    Makes NAME/ (a BagIt bag), NAME.zip (the same) and NAME.seal.txt. The same state gives the same bytes: times
    are those of the record's newest entry, or `at`. `include` names what else may leave: see `privacy.CHOICES`.
    Raises HandoverError for an empty or damaged record, and leaves nothing half made.
    """
    from restonb.record import verify

    told = progress or (lambda what, done, of: None)
    wanted = chosen(include)
    head = state_of(record, as_of)
    told("checking the record", 0, 1)
    sound = verify(record.path)
    if not sound.ok:
        raise HandoverError(f"the record is damaged: {sound.faults[0]}; see restonb verify before handing it over")
    facts = Facts(build, record, head, wanted)
    home = Path(folder) if folder is not None else build.handover
    name = _name(facts)
    with bag.in_place_of(home / name) as new:
        missing = _fill(facts, new / "data", at or datetime.fromisoformat(head.at), told)
        told("closing the bag", 0, 1)
        seal = bag.close_bag(new, _info(facts), _readme(facts))
        packed = new.with_name("zip")
        bag.write_zip(new, packed, name)
        seal_text = _seal_text(name, seal, check.digest(packed), facts)
        bag.settle()
        os.replace(packed, home / f"{name}.zip")
    final, seal_file = home / name, home / f"{name}.seal.txt"
    bag.write_whole(seal_file, seal_text)
    _enter(record, name, seal, head.seq, head.digest)
    told("done", 1, 1)
    data = final / "data"
    return Handover(
        final, home / f"{name}.zip", data / "record.pdf", data / "record.html", seal_file, seal, head.digest,
        left_out(wanted), tuple(missing),
    )  # fmt: skip


def preview(
    build: Build, record: Record, as_of: Any = None, include: Collection[str] = ()
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What would leave the house, and what would stay, in words; nothing is written."""
    wanted = chosen(include)
    facts = Facts(build, record, state_of(record, as_of), wanted)
    leaves = [_count_text(count, kind) for kind, count in sorted(facts.counts.items())]
    leaves += [f"the machine's {key.replace('_', ' ')}: {text}" for key, text in facts.machine.items()]
    leaves += [CHOICES[choice] for choice in CHOICES if choice in wanted]
    stays = list(left_out(wanted))
    stays += [f"the machine's {key.replace('_', ' ')}" for key in build.machine if key not in facts.machine]
    if facts.withheld:
        stays.append(
            f"(these were taken out of {facts.withheld} {'entry' if facts.withheld == 1 else 'entries'}; each keeps its place in the chain)"
        )
    return tuple(leaves), tuple(stays)


_NOUNS = {
    "reading": ("reading", "readings"), "run": ("filed run with its notebook", "filed runs with their notebooks"),
    "photo": ("photograph", "photographs"), "note": ("note", "notes"), "work": ("entry of work", "entries of work"),
    "part": ("part", "parts"), "joint": ("state of a joint", "states of joints"),
    "disturb": ("disturbance", "disturbances"), "check": ("instrument check", "instrument checks"),
    "usage": ("odometer reading", "odometer readings"),
    "strike": ("struck-out entry with the reason", "struck-out entries with the reason"),
    "handover": ("note of an earlier export", "notes of earlier exports"),
}  # fmt: skip
"""What an entry is called, one and several."""


def _count_text(count: int, kind: str) -> str:
    one, several = _NOUNS.get(kind, (kind, kind))
    return f"{count} {one if count == 1 else several}"


def _fill(facts: Facts, data: Path, made: datetime, told: Progress) -> list[str]:
    """Everything that goes into the bag's data folder; answers what is missing."""
    data.mkdir()
    work = data / "work"
    work.mkdir()
    copies = _photographs(facts, data, work, told)
    told("copying the log", 0, 1)
    missing = [f"photograph of entry {seq}: {fault}" for seq, fault in facts.picture_faults.items()]
    missing += copy_log(facts, data / "log", lambda what: told(what, 0, 1))
    write_entries(facts, data / "entries.jsonl")
    write_tables(facts, data / "tables", copies)
    sheets = len(facts.sheets)
    done = iter(range(1, sheets + 1))
    report = as_data(report_of(facts, data, lambda what: told(what, next(done, sheets), sheets)))
    (data / "report.json").write_text(json.dumps(report, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
    told("writing the HTML", 0, 1)
    with (data / "record.html").open("w", encoding="utf-8", newline="\n") as out:
        write_html(report, data, out)
    told("setting the PDF", 0, 1)
    write_pdf(report, data, data / "record.pdf", made, _attached())
    shutil.rmtree(work)
    return missing


def _attached() -> list[Attachment]:
    csv = "text/csv"
    return [
        Attachment("entries.jsonl", "application/jsonl", "every entry of the record with its digest", "source"),
        Attachment("tables/readings.csv", csv, "every reading"),
        Attachment("tables/verdicts.csv", csv, "every position with its verdict"),
        Attachment("tables/spec_book.csv", csv, "every limit with its source"),
        Attachment("tables/joints.csv", csv, "joints and fasteners with torques"),
        Attachment("tables/datapackage.json", "application/json", "what each column of the tables is", "supplement"),
    ]


def _photographs(facts: Facts, data: Path, work: Path, told: Progress) -> dict[int, dict[str, Any]]:
    """Copies of every photograph; the small ones, for the documents, go to `work`."""
    home = facts.build.photos.resolve()
    every = facts.photos
    if every:
        (data / "photos").mkdir()
    originals = data / "originals"
    if every and "gps" in facts.include:
        originals.mkdir()

    most = photos_shown(len({line.body["sheet"] for line in every}))
    shown: Counter[str | None] = Counter()

    def jobs() -> Iterator[photos.Job]:
        for line in every:
            named = f"entry-{line.seq:05d}.jpg"
            file = home / Path(line.body["file"]).name
            sheet = line.body["sheet"]
            shown[sheet] += 1
            small = work / named if shown[sheet] <= most else None
            yield file, line.body["sha256"], data / "photos" / named, small

    found: dict[int, dict[str, Any]] = {}
    for number, (line, made) in enumerate(zip(every, photos.derive_all(jobs()), strict=True), 1):
        told("photographs", number, len(every))
        if made.fault:
            facts.picture_faults[line.seq] = made.fault
        if made.file:
            small = f"work/{made.file}"
            facts.pictures.append(Picture(line, small if (data / small).is_file() else ""))
        copy = f"photos/{made.file}" if made.file else ""
        found[line.seq] = {"file": copy, "sha256": made.sha256, "fault": made.fault}
        source = home / Path(line.body["file"]).name
        if originals.is_dir() and source.is_file():
            shutil.copyfile(source, originals / f"entry-{line.seq:05d}{_suffix(source)}")
    return found


def _suffix(path: Path) -> str:
    return path.suffix.lower() if re.fullmatch(r"\.[a-z0-9]{1,8}", path.suffix.lower()) else ""


def _name(facts: Facts) -> str:
    """Of the machine, the day and the state: another state, or another choice of what to show, never replaces it."""
    slug = re.sub(r"[^a-z0-9]+", "-", facts.build.name.lower()).strip("-")[:40] or "build"
    name = f"{slug}-{facts.head.at[:10]}-{facts.head.digest[:8]}"
    return f"{name}-with-{'-'.join(c.replace(' ', '-') for c in sorted(facts.include))}" if facts.include else name


def _info(facts: Facts) -> dict[str, str]:
    return {
        "Bag-Software-Agent": f"restonb {__version__}",
        "Bagging-Date": facts.head.at[:10],
        "External-Description": f"Restoration record of {facts.build.name}",
        "External-Identifier": facts.head.digest,
        "Record-Head-Entry": str(facts.head.seq),
        "Record-Head-Digest": facts.head.digest,
    }


def _readme(facts: Facts) -> str:
    from restonb.handover.report import clean

    text = files(__package__).joinpath("readme.txt").read_text(encoding="utf-8")
    title = " ".join(clean(facts.build.name).split())
    return text.format(
        title=title, rule="=" * len(title), made=minute(facts.head.at), head_seq=facts.head.seq,
        head_digest=facts.head.digest, left_out="; ".join(left_out(facts.include)) or "nothing",
        originals="  data/originals/        the original photographs\n" if "gps" in facts.include else "",
        not_a_certificate=NOT_A_CERTIFICATE,
    )  # fmt: skip


def _seal_text(name: str, seal: str, packed: str, facts: Facts) -> str:
    return (
        f"seal {seal}\nzip  {packed}\nhead {facts.head.digest}\n"
        f"of the record {name}, entry {facts.head.seq} of {facts.head.at}\n"
    )


def _enter(record: Record, name: str, seal: str, seq: int, digest: str) -> None:
    """Note the export in the record, once for each thing exported; a record that is only read stays as it is."""
    if not record.writable:
        return
    for entry in record.entries("handover"):
        if entry.body["digest"] == seal:
            return
    record.append("handover", {"file": f"{name}.zip", "digest": seal, "head": {"seq": seq, "digest": digest}})
