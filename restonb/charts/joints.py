"""What rests on what, what is only loosely in place, and which results does that spoil?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure

from restonb.charts._look import (
    BLUE,
    GREEN,
    MUTED,
    ORANGE,
    PAPER,
    RULE,
    SKY,
    SMALL,
    TRACK,
    VERMILLION,
    YELLOW,
    Mark,
    style,
)
from restonb.charts._page import EDGE, WIDTH, Key, Page
from restonb.charts._rows import counts
from restonb.charts._text import cut, width, wrap
from restonb.words import counted, listed

STATES = {
    "apart": Mark("o", PAPER),
    "dry-fitted": Mark("v", YELLOW, scale=1.05),
    "temporary": Mark("D", ORANGE, scale=0.9),
    "tightened": Mark("s", SKY, scale=0.95),
    "final": Mark("h", BLUE, scale=1.15),
}
NOTHING = Mark("_", PAPER)
"""Nothing was entered about the joint yet."""
STANDINGS = {
    "settled": Mark("P", GREEN),
    "to do": Mark(">", PAPER),
    "not known": Mark("d", YELLOW),
    "out of date": Mark("<", YELLOW),
    "in doubt": Mark("^", ORANGE),
    "measure again": Mark("X", VERMILLION, scale=1.1),
    "not run": Mark("s", PAPER, scale=0.85),
    "failed": Mark("*", VERMILLION, scale=1.4),
    "outside": Mark("p", VERMILLION),
    "stop": Mark("8", VERMILLION, scale=1.2),
}
UNKNOWN = "nothing entered"
STEP = 0.24
ROW = 0.34
LINE = 0.16


@dataclass(frozen=True, slots=True)
class _Line:
    key: str
    what: str
    layer: int
    under: str
    """What it stands below: the last to be closed of what it rests on; '' for what rests on nothing."""
    also: tuple[str, ...]
    """What else it rests on, in words, without what those rest on anyway."""
    state: str
    flags: tuple[tuple[str, str], ...]
    """Word and text of each thing that is left here."""


def joint_tree(
    joints: Any,
    states: Mapping[str, Any] | None = None,
    stale: Mapping[str, Any] | None = None,
    *,
    date: str = "",
    what: str = "joints",
) -> Figure:
    """The joints in the order in which they are closed, each below what rests on it, with its state.

    `joints`: a JointMap of `restonb.stated`, or a mapping key -> Joint (or a dict with `what` and `rests_on`).
    `states`: joint -> word, or JointState of `restonb.record`. `stale`: sheet or joint -> reason in words, a
    SheetStanding, or (word, text); a sheet is shown at the joints that it names. Joints that rest on themselves
    through others are refused by `restonb.stated`; here each is drawn once.
    """
    with style():
        table = dict(getattr(joints, "joints", joints))
        sheets = dict(getattr(joints, "sheets", {}))
        below = {key: tuple(b for b in _of(j, "rests_on") or () if b in table) for key, j in table.items()}
        words = {key: _word(_of(states or {}, key)) for key in table}
        flags = _flags(stale or {}, table, sheets)
        lines = _ordered(table, below, words, flags)
        spoilt = sum(any(s != "settled" for s, _ in _standings(v)) for v in (stale or {}).values())
        title = _title(what, words, spoilt)
        told = [f"n = {counted(len(table), 'joint')}", *(f"{n} {w}" for w, n in _count(words)), date or "no date given"]
        page = Page(
            title,
            told,
            sum(_high(line) for line in lines) + 0.32,
            alt=f"{title}. {', '.join(told)}. {'; '.join(_spoken(line) for line in lines)}.",
            word=_worst(words),
            key=[*(Key(w, STATES.get(w, NOTHING)) for w, _ in _count(words)), *_flag_key(lines)],
            notes=[
                "A joint is shown below and to the right of what it rests on: close from the top down, open from the bottom up."
            ],
        )
        _draw(page, lines)
        return page.figure


def _of(thing: Any, name: str) -> Any:
    return thing.get(name) if isinstance(thing, Mapping) else getattr(thing, name, None)


def _word(state: Any) -> str:
    found = state if isinstance(state, str) or state is None else _of(state, "state")
    return str(found or UNKNOWN)


def _standings(given: Any) -> list[tuple[str, str]]:
    """(word, text) pairs out of a text, a pair, or a SheetStanding with all that is left, the gravest first."""
    if isinstance(given, str):
        return [("measure again", given)]
    word = _of(given, "word")
    if word is not None:
        left = [(str(_of(one, "word") or word), str(_of(one, "text") or "")) for one in _of(given, "left") or ()]
        return sorted(left, key=lambda one: one[0] != word) or [(str(word), "")]
    pair = tuple(given)
    return [(str(pair[0]), str(pair[1]) if len(pair) > 1 else "")] if pair else []


def _flags(
    stale: Mapping[str, Any], table: Mapping[str, Any], sheets: Mapping[str, Sequence[str]]
) -> dict[str, list[tuple[str, str]]]:
    found: dict[str, list[tuple[str, str]]] = {}
    for name, said in stale.items():
        at = [name] if name in table else [j for j in sheets.get(name, ()) if j in table][:1]
        for joint in at:
            for state, reason in [s for s in _standings(said) if s[0] != "settled"][:2]:
                head = f"{state}: " + ("" if name in table else f"{name}, ")
                found.setdefault(joint, []).append((state, (head + reason).rstrip(", :")))
    return found


def _ordered(
    table: Mapping[str, Any], below: Mapping[str, Sequence[str]], words: Mapping[str, str],
    flags: Mapping[str, Sequence[tuple[str, str]]],
) -> list[_Line]:  # fmt: skip
    """Every joint once, below all that it rests on, right after the last of these."""
    reach: dict[str, set[str]] = {}

    def beneath(key: str, seen: tuple[str, ...] = ()) -> set[str]:
        if key not in reach:
            parts = [b for b in below[key] if b not in seen]
            reach[key] = set(parts).union(*(beneath(b, (*seen, key)) for b in parts)) - {key}
        return reach[key]

    direct = {k: tuple(b for b in below[k] if not any(b in beneath(o) for o in below[k] if o != b)) for k in table}
    lines: list[_Line] = []
    indent: dict[str, int] = {}

    def add(key: str, under: str, level: int) -> None:
        indent[key] = level
        what = str(_of(table[key], "what") or key.replace("_", " "))
        also = tuple(str(_of(table[b], "what") or b) for b in direct[key] if b != under)
        lines.append(_Line(key, what, level, under, also, words[key], tuple(flags.get(key, ()))))
        for upper in table:
            if upper not in indent and key in direct[upper] and all(b in indent for b in direct[upper]):
                add(upper, key, level + 1)

    for key in [*(k for k in table if not direct[k]), *table]:  # the rest rest on themselves
        if key not in indent:
            add(key, "", 0)
    return lines


def _count(words: Mapping[str, str]) -> list[tuple[str, int]]:
    order = [*STATES, UNKNOWN]
    return sorted(counts(words.values()), key=lambda p: order.index(p[0]) if p[0] in order else 99)


def _worst(words: Mapping[str, str]) -> Mark | str:
    found = _count(words)
    return STATES.get(found[0][0], NOTHING) if found and found[0][0] != UNKNOWN else ""


def _title(what: str, words: Mapping[str, str], spoilt: int) -> str:
    if not words:
        return "No joints are named yet"
    closed = sum(w in ("tightened", "final") for w in words.values())
    said = f"{closed} of {len(words)} {what} closed" if len(words) > 1 else f"1 joint: {next(iter(words.values()))}"
    loose = [f"{n} {w}" for w, n in _count(words) if w in ("apart", "dry-fitted", "temporary")]
    if loose:
        said += f", {listed(loose, 4)}"
    return said + (f"; {counted(spoilt, 'result')} not settled" if spoilt else "")


def _spoken(line: _Line) -> str:
    on = f" on {listed([line.under, *line.also], 4)}" if line.under else ""
    return f"{line.key}{on}: {line.state}" + "".join(f", {text}" for _, text in line.flags)


def _flag_key(lines: Iterable[_Line]) -> list[Key]:
    found = dict.fromkeys(state for line in lines for state, _ in line.flags)
    return [Key(state, STANDINGS.get(state, NOTHING)) for state in found]


def _high(line: _Line) -> float:
    return ROW + LINE * len(_label_parts(line))


def _label_parts(line: _Line) -> list[tuple[str, str]]:
    """The lines under the name: what else it rests on, and what is spoilt; the mark with the first line of each."""
    room = WIDTH - 2 * EDGE - STEP * (line.layer + 1) - 0.3
    texts = [("", f"also rests on: {listed(line.also, 4)}")] if line.also else []
    return [
        (state if n == 0 else "", piece)
        for state, text in [*texts, *line.flags]
        for n, piece in enumerate(wrap(text, room, SMALL, lines=2))
    ]


def _draw(page: Page, lines: Sequence[_Line]) -> None:
    x0 = EDGE + 0.12
    state_at = WIDTH - EDGE - max((width(line.state) for line in lines), default=0.0)
    if not lines:
        page.write(EDGE, page.top + 0.12, "no joints")
        return
    place: dict[str, tuple[float, float]] = {}
    y = page.top + 0.3
    page.write(EDGE, page.top + 0.08, "what is closed first is at the top", size=SMALL, color=MUTED)
    page.write(state_at, page.top + 0.08, "state", size=SMALL, color=MUTED)
    for n, line in enumerate(lines):
        x, middle = x0 + STEP * line.layer, y + ROW / 2
        place[line.key] = (x, middle)
        if n % 2 == 0:
            page.canvas.axhspan(y, y + _high(line), color=TRACK, lw=0, zorder=0)
        if line.under:
            x1, y1 = place[line.under]
            page.canvas.plot([x1, x1, x], [y1, middle, middle], color=RULE, lw=1.2, zorder=1.5)
        page.mark(x, middle, STATES.get(line.state, NOTHING), 9)
        text_x = x + 0.2
        page.write(
            text_x,
            middle,
            cut(line.what, state_at - 0.3 - text_x),
            bold=line.state in ("apart", "temporary", "dry-fitted"),
        )
        page.mark(state_at - 0.14, middle, STATES.get(line.state, NOTHING), 7.5)
        page.write(state_at, middle, line.state)
        for m, (state, text) in enumerate(_label_parts(line)):
            at = y + ROW - 0.02 + LINE * m + 0.04
            if state:
                page.mark(text_x + 0.07, at, STANDINGS.get(state, NOTHING), 6.5)
            page.write(text_x + (0.2 if line.flags else 0.0), at, text, size=SMALL, color=MUTED)
        y += _high(line)
