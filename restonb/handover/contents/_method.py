"""How the record came to be and how far it can be trusted: method, instruments, decision rule, check, limits."""

from __future__ import annotations

from restonb.handover.contents._words import amount, cells, date, sentence, table
from restonb.handover.facts import Facts
from restonb.handover.privacy import left_out
from restonb.handover.report import Block, Bullets, Cell, Column, FactRows, Paragraph, Section
from restonb.measure import error_words
from restonb.words import counted

__all__ = ["CAUTIONS", "NOT_A_CERTIFICATE", "about_section", "instruments_section", "method_section"]

NOT_A_CERTIFICATE = (
    "This is a record of what was measured and done. It is not a certificate of roadworthiness, not a warranty and "
    "not a substitute for inspection. The maker's manual, local codes and licensed practice come before anything "
    "said here."
)

CAUTIONS = (
    "Before the first ride, have brakes, steering, wheels, tyres and fuel system inspected by someone licensed to do "
    "so where the law asks for it.",
    "A torque, gap or thickness given here is what was applied or read that day. Check it against the maker's manual "
    "before relying on it, and again after the first miles where the manual says so.",
    "Support the machine safely before working under it; keep clear of springs under load; treat old brake dust as "
    "asbestos; ventilate where fuel is open or a battery is charged.",
)


def method_section(facts: Facts) -> Section:
    rule = facts.build.rule
    said = {
        "prove": "The rule of this build is 'prove': a value counts as inside only when it is inside the limits by "
        "its expanded uncertainty, and as outside only when it is beyond them by as much (ISO 14253-1; guard "
        "band as in JCGM 106).",
        "simple": "The rule of this build is 'simple': a value counts as inside when it lies within the limits, "
        "whatever its uncertainty. Right at a limit that is wrong about every second time (JCGM 106).",
    }[rule]
    blocks: list[Block] = [
        Paragraph(
            "Limits are in the owner's spec book, each with its source; none is shipped with the software. Each "
            "reading carries the instrument, the time and the text that was typed. Its uncertainty is worked out "
            "from the instrument's error, its resolution, the repeatability where it was repeated, and the "
            "temperature where it was stated (ISO 1: 20 °C), combined and expanded as in JCGM 100."
        ),
        Paragraph(said),
        Bullets((
            Cell("inside: within the limits, as far as the rule asks", "inside"),
            Cell("too close to call: this instrument cannot tell on which side of the limit it is", "too close to call"),
            Cell("outside: beyond a limit", "outside"),
            Cell("not measured: no reading is in force", "not measured"),
            Cell("measure again: something that it rests on was moved after it was measured", "measure again"),
            Cell("in doubt: the gauge that it was measured with failed a check", "in doubt"),
        ), "Verdicts, row by row"),
        Bullets((
            Cell("settled: every row inside, every step done, nothing spoiled, every joint closed", "settled"),
            Cell("to do: something is still to be done or measured", "to do"),
            Cell("not known: the record cannot say, such as where a limit is missing or a value is too close to it",
                 "not known"),
            Cell("out of date: newer readings or an edited limit; it can be worked out again from the record",
                 "out of date"),
            Cell("in doubt, measure again: of one row of it, or of a joint", "in doubt"),
            Cell("not run, failed: there is no result", "not run"),
            Cell("outside: a value is beyond its limit", "outside"),
            Cell("stop: do not go on, and do not ride, before it is put right", "stop"),
        ), "Where a sheet stands: the worst of its rows, steps and joints"),
        Bullets((
            Cell("final, tightened: closed as planned", "final"),
            Cell("temporary, dry-fitted: together, but to be opened again", "temporary"),
            Cell("apart: not together", "apart"),
            Cell("torque not as planned: over, under, missing, or of no fastener of the plan", "torque"),
        ), "Joints"),
    ]  # fmt: skip
    return Section("method", "How it was measured and judged", tuple(blocks), new_page=True)


def instruments_section(facts: Facts) -> Section | None:
    checks: dict[str, list[str]] = {}
    for line in facts.of("check"):
        b = line.body
        against = f" against {b['against']}" if b["against"] else ""
        checks.setdefault(b["instrument"], []).append(
            f"{date(line.at)}: {'good' if b['good'] else 'NOT good'}{against}"
        )
    rows = []
    for key, gauge in facts.build.gauges.items():
        one = gauge.instrument
        stated = [f"{gauge.last_check.isoformat()}: last check stated"] if gauge.last_check else []
        rows.append(cells(
            one.what or key,
            "" if one.resolution is None else amount(one.resolution, one.unit, {}),
            "not known" if one.error is None else f"± {error_words(one)}",
            "; ".join([*stated, *checks.get(key, [])]) or "never", gauge.source or "no source given",
        ))  # fmt: skip
    if not rows:
        return None
    columns = (
        Column("Instrument", 2.0), Column("Resolution", 0.0, True), Column("Largest error", 0.0, True),
        Column("Checks", 2.2), Column("Source of the error", 1.5),
    )  # fmt: skip
    return Section("instruments", "Instruments", (table("", columns, rows),))


def about_section(facts: Facts) -> Section:
    stays = tuple(Cell(text) for text in left_out(facts.include)) or (Cell("nothing"),)
    blocks: list[Block] = [
        Paragraph(NOT_A_CERTIFICATE, "caution"),
        Bullets(tuple(Cell(text) for text in CAUTIONS), "Usual cautions"),
        Bullets(stays, "Left out of this export"),
    ]
    if facts.withheld:
        text = (
            f"{counted(facts.withheld, 'entry', 'entries')} had something taken out. The chain runs through them "
            "unbroken and proves all others, but what is left of these cannot be checked against the digest of what "
            "they said: for that, ask the owner to show the whole record."
        )
        blocks.append(Paragraph(text))
    blocks += [
        Paragraph("How to check this copy", "head"),
        Paragraph(
            "This document belongs to a folder (a BagIt bag, RFC 8493) that holds the entries, the readings as "
            "tables, the executed notebooks and the photographs. In that folder, these commands check every file, "
            "the chain of entries and the head; they need nothing that came with it:"
        ),
        FactRows((
            ("Every file", "sha256sum -c manifest-sha256.txt tagmanifest-sha256.txt"),
            ("Files and chain", "python3 check.py"),
            ("The same, with the seal", "python3 check.py SEAL"),
        ), code=True),
        Paragraph(
            "The seal is printed when the record is exported and is in no file of the folder. A copy that was "
            "remade from end to end can only be recognised by a seal, or a head digest, that you were given another "
            "way."
        ),
        FactRows((
            ("Head digest", facts.head.digest),
            ("of entry", f"{facts.head.seq}, {sentence(facts.head.at)[:-1]}"),
        ), code=True),
    ]  # fmt: skip
    return Section("about", "About this record", tuple(blocks), new_page=True)
