"""The box that stands first on a sheet, its page, its run and its part of the hand-over: found, to do, open.

It is the same data everywhere; what shows it only draws it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from restonb.record.filed import decided_lines, has_steps, open_lines, steps_of
from restonb.words import counted, listed, listed_places

if TYPE_CHECKING:
    from restonb.record.stands.sheet import SheetStanding
    from restonb.record.stands.stale import Reason

__all__ = ["BOX_MIME", "CLOSING_FINDING", "SHAPES", "Box", "Found", "box_of", "gravest_first"]

CLOSING_FINDING = "closing"
"""The finding of the step that is said only where the whole sheet is settled."""
BOX_MIME = "application/vnd.restonb.box+json"
"""Marks an output of a notebook that is the box, so that the page of a run can put it first."""

SHAPES = {
    # verdicts, with the shapes of the charts
    "inside": "●", "outside": "✕", "too close to call": "▲", "in doubt": "?", "measure again": "▼", "not measured": "□",
    "no limit": "◆",
    # states of a step, and what a sheet is
    "settled": "●", "to do": "▸", "not known": "?", "stop": "✕", "out of date": "◷", "not run": "□", "failed": "✕",
}  # fmt: skip
"""A shape for every word that tells how something stands; the word always stands beside it."""

_ROWS = (
    "outside",
    "measure again",
    "in doubt",
    "too close to call",
    "not measured",
    "out of date",
    "no limit",
    "inside",
)
_PLACED = frozenset(_ROWS[:5])
_GRAVE = ("stop", "measure again", "in doubt", "not known", "out of date", "to do", "settled")
MOST = 6
"""Places of one word that are named."""


class Found(NamedTuple):
    """How many rows have one word, and where; '' for what needs no looking up."""

    word: str
    number: int
    where: str = ""


class Box(NamedTuple):
    """What was found, what to do, what is open. `word` is the sheet's one word."""

    word: str
    found: tuple[Found, ...] = ()
    steps: tuple[Mapping[str, Any], ...] = ()
    """As filed, each with `state` and `text`: the gravest first, and in the order of the work where they are as grave."""
    decided: tuple[str, ...] = ()
    """Sentences of a result that was filed before steps were; they have no state."""
    open: tuple[str, ...] = ()
    """What is left beside the steps, and beside the rows that are named already."""

    @property
    def all_settled(self) -> bool:
        """Whether no step asks for anything."""
        return all(step["state"] == "settled" for step in self.steps)

    def as_data(self) -> dict[str, Any]:
        """JSON-ready."""
        return {
            "word": self.word,
            "found": {one.word: one.number for one in self.found},
            "steps": [dict(step) for step in self.steps],
            "decided": list(self.decided),
            "open": list(self.open),
        }

    def lines(self, name: str, most: int | None = None) -> list[str]:
        """It in plain text, for the terminal; `name` is what it is of. Of what is open, only the first `most`."""
        shown = [f"{name}: {SHAPES[self.word]} {self.word}"]
        if self.found:
            shown.append(f"  found: {', '.join(f'{one.number} {one.word}' for one in self.found)}")
            shown += [f"    {one.word}: {one.where}" for one in self.found if one.where]
        shown += [f"  {SHAPES[str(step['state'])]} {step['state']}: {step['text']}" for step in self.steps]
        shown += [f"  {line}" for line in self.decided]
        if self.open:
            shown += ["  open:", *(f"    {line}" for line in self.open[:most])]
            more = len(self.open) - len(self.open[:most])
            shown += [f"    and {more} more, which the page shows"] if more else []
        return shown


def gravest_first(steps: Iterable[Mapping[str, Any]]) -> tuple[Mapping[str, Any], ...]:
    """Steps by what each asks for: stop, not known, to do, settled; those that are alike keep the order of the work."""
    rank = {state: n for n, state in enumerate(_GRAVE)}
    return tuple(sorted(steps, key=lambda step: rank.get(str(step.get("state", "")), len(_GRAVE))))


def box_of(stands: SheetStanding) -> Box:
    """The box of a sheet as it is now: filed, or as it would be if it were."""
    filed: Mapping[str, Any] = stands.run.filed if stands.run else {}
    steps = [one for step in steps_of(filed) if (one := _as_it_stands(stands, step))]
    said = {(str(p[0]), str(p[1])) for step in steps if step.get("state") != "settled" for p in step.get("about") or ()}
    said |= {place for word in _PLACED for place in stands.with_word(word)}
    of_run = stands.run.seq if stands.run else 0
    opened = {reason.seq: reason for reason in stands.reasons if reason.state == "measure again" and reason.chain}
    left = _opened(list(opened.values())) if len(opened) > 1 else []
    left += [
        one.line
        for one in stands.left
        if not (one.kind == "result" and one.word == "measure again" and one.seq in opened and len(opened) > 1)
        and not (one.kind == "row" and one.places and set(one.places) <= said)  # named above
        and not (one.kind == "step" and one.seq == of_run)  # stands above with its state
    ]
    if not has_steps(filed):
        left += open_lines(filed)
    return Box(
        stands.word,
        _found_rows(stands),
        gravest_first(steps),
        () if steps else tuple(decided_lines(filed)),
        tuple(dict.fromkeys(left)),
    )


def _opened(reasons: Sequence[Reason]) -> list[str]:
    """In one line what several joints have spoiled together; each by itself names the same places again."""
    places = {place for reason in reasons for place in reason.places}
    joints, entries = (listed(reason.chain[-1] for reason in reasons), listed(str(reason.seq) for reason in reasons))
    many = counted(len(places), "place was", "places were") if places else "it was"
    return [f"measure again: {many} measured before {joints} were disturbed (entries {entries})"]


def _as_it_stands(stands: SheetStanding, step: dict[str, Any]) -> dict[str, Any] | None:
    """A step as far as it may still be relied on: what was settled is so only while its rows are, and its result is current.

    None for the closing word of a sheet that is not settled any more.
    """
    if step.get("state") != "settled":
        return step
    if step.get("finding") == CLOSING_FINDING and stands.word != "settled":
        return None
    places = [(str(place[0]), str(place[1])) for place in step.get("about") or ()]
    words = [mark for place in places if (mark := stands.marks.get(place))]
    if not words and stands.state not in ("current", "in doubt", "measure again"):
        words = [stands.state]
    if not words and not places and stands.state != "current":
        words = [stands.state]
    return {**step, "state": min(words, key=_GRAVE.index)} if words else step


def _found_rows(stands: SheetStanding) -> tuple[Found, ...]:
    """The rows by their word; one without a limit that serves another, which is judged, is not a finding by itself."""
    left = {place for one in stands.left if one.kind == "row" for place in one.places}
    at: dict[str, list[tuple[str, str]]] = {}
    for row in (*stands.settled, *stands.judged):
        key, position = str(row.get("characteristic", "")), str(row.get("position", ""))
        word = stands.row_word(key, position)
        if word == "no limit" and (key, position) not in left:
            continue
        at.setdefault(word, []).append((str(row.get("what") or key.replace("_", " ")), position))
    return tuple(
        Found(word, len(at[word]), listed_places(at[word], MOST) if word in _PLACED else "")
        for word in (*_ROWS, *(other for other in at if other not in _ROWS))
        if word in at
    )
