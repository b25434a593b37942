"""A decision as data: steps with a state, what each speaks of, and its values. The sentence is made from it last.

A decision is a list of steps, in the order in which the work is done. Its functions here are the only way to make one:
what reassures (`settled`, and the good side of `judged`) is said only where every row that it rests on is inside and
nothing that it needs is missing; else the step says what is not known, in its place.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from restonb.decisions.not_yet import NotYet
from restonb.measure import Verdict, Verdicts
from restonb.words import fold, listed, listed_places

__all__ = ["STATES", "Amount", "Step", "judged", "not_known", "sentence", "settled", "stop", "to_do", "worst_state"]

STATES = ("settled", "to do", "not known", "stop")
"""What a step can be, best first: as good as settled; to be done; not known; stop, do not go on and do not ride."""

Place = tuple[str, str]
"""A characteristic and a position."""


class Amount(NamedTuple):
    """A number with its unit in a step; `u` is its standard uncertainty, where it has one."""

    value: float
    unit: str
    u: float | None = None


class Step(NamedTuple):
    """One line of a decision.

    `finding` names what was found, once and for all, for programs: 'slack.outside'. `says` is the sentence with its values in
    braces: 'Fit the spacer of {spacer}.'; `{at}` stands for the places in words. Read `state` and `finding`, never `says`.
    """

    state: str
    finding: str
    says: str
    about: tuple[Place, ...] = ()
    values: Mapping[str, Any] = {}
    """Amounts, quantities or parts of a formula's result; words; whole numbers; or lists of words."""
    safety: bool = False

    def as_data(self, units: Mapping[str, str] | None = None) -> dict[str, Any]:
        """JSON-ready, with the sentence as the person reads it; `units` maps a kind of quantity to the unit to show."""
        return {
            "state": self.state,
            "finding": self.finding,
            "text": sentence(self, units),
            "about": [list(place) for place in self.about],
            "values": {name: _data(value) for name, value in self.values.items()},
            "safety": self.safety,
        }


# -- making steps


def settled(
    finding: str,
    says: str,
    rows: Iterable[Verdict] = (),
    needs: Sequence[Any] = (),
    safety: bool = False,
    **values: Any,
) -> Step:
    """A step that needs nothing more. It holds only while every row is inside and nothing of `needs` is missing.

    `needs`: answers and parameters that it rests on; one that is None, empty or NotYet, or a check that came out False,
    keeps it from being settled. Where something keeps it, the step is 'not known' and says what.
    """
    rows = tuple(rows)
    open_rows = [row for row in _judged_rows(rows) if row.word != "inside"]
    gone = [why for need in needs if (why := _missing(need))]
    safe = safety or any(row.characteristic.safety for row in rows)
    if not open_rows and not gone:
        return _step("settled", finding, says, rows, safe, values)
    kept = [f"{_name(row)} is {row.word}" for row in open_rows] + gone
    return _step(
        "not known",
        f"{finding}.unproved",
        "Not settled yet: {kept}.",
        open_rows,
        safe,
        {"kept": list(dict.fromkeys(kept))},
    )


def to_do(finding: str, says: str, rows: Iterable[Verdict] = (), safety: bool = False, **values: Any) -> Step:
    """Something to be done next."""
    return _step("to do", finding, says, rows, safety, values)


def not_known(finding: str, says: str, rows: Iterable[Verdict] = (), safety: bool = False, **values: Any) -> Step:
    """Something that cannot be decided from what is there."""
    return _step("not known", finding, says, rows, safety, values)


def stop(finding: str, says: str, rows: Iterable[Verdict] = (), safety: bool = True, **values: Any) -> Step:
    """Do not go on, and do not ride, before this is put right."""
    return _step("stop", finding, says, rows, safety, values)


def judged(
    rows: Verdicts,
    finding: str,
    what: str,
    *,
    measure: str,
    inside: str,
    outside: str = "",
    below: str = "",
    above: str = "",
    close: str = "",
    no_limit: str = "",
    stops: bool = False,
    needs: Sequence[Any] = (),
    **values: Any,
) -> list[Step]:
    """What a set of verdicts says: a step for each kind of verdict in it, the gravest first; settled only if all is inside
    and nothing of `needs` is missing.

    `what` names it in the middle of a sentence: 'the slack'. `measure` is said where something is not measured; `outside`, or
    `below` and `above` where the side matters, where it is outside; `close` where it is too close to call, `no_limit` where
    the spec book gives no limit; both have a sentence of their own. `{at}` in any of them is the places. What is outside is
    'stop' with `stops`, or where it is marked safety; else it is to do.
    """
    values = {"what": what, **values}
    found: list[Step] = []
    bad = _with(rows, "outside")
    for side, says in (("above", above), ("below", below)):
        these = [row for row in bad if row.side == side] if says else []
        bad = [row for row in bad if row not in these]
        found += _outside(these, f"{finding}.{side}", says, stops, values)
    found += _outside(bad, f"{finding}.outside", outside or "{what} is outside its limits at {at}.", stops, values)
    if these := _with(rows, "too close to call"):
        says = close or "{What} is too close to call at {at}; the remark in the table says what would settle it."
        found.append(not_known(f"{finding}.close", says, these, **values))
    if these := _with(rows, "in doubt"):
        found.append(
            not_known(
                f"{finding}.doubt",
                "{What} was measured with a gauge that failed its check ({at}): measure again with a good one.",
                these,
                **values,
            )
        )
    if not len(rows) or _with(rows, "not measured"):
        found.append(to_do(f"{finding}.measure", measure, _with(rows, "not measured"), **values))
    if these := _with(_judged_rows(rows), "no limit"):
        says = no_limit or (
            "No limit is given for {what}, so it cannot be judged: write that of the manual into the spec book."
        )
        found.append(not_known(f"{finding}.limit", says, these, **values))
    return found or [settled(finding, inside, rows, needs, **values)]


def worst_state(steps: Iterable[Step]) -> str:
    """The state that decides for all of them; 'settled' where there is none."""
    return max((step.state for step in steps), key=STATES.index, default="settled")


# -- writing them


def sentence(step: Step, units: Mapping[str, str] | None = None) -> str:
    """The step in words, its values in the person's units. `{Name}` in a sentence is the value with a capital letter."""
    words = {name: _value_text(value, units or {}) for name, value in step.values.items()}
    words |= {name[:1].upper() + name[1:]: text[:1].upper() + text[1:] for name, text in words.items()}
    text = step.says.format_map({"at": "everything", **words})
    return text[:1].upper() + text[1:]


def _value_text(value: Any, units: Mapping[str, str]) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    number, unit = getattr(value, "value", None), getattr(value, "unit", None)
    if number is None or unit is None:
        return listed(str(one) if isinstance(one, str) else _value_text(one, units) for one in value)
    from restonb.quantity import convert, convert_difference, result_text, unit_to_show

    resolution = getattr(value, "resolution", None)
    u = getattr(value, "u", None)
    to = unit_to_show(unit, dict(units))
    if resolution and to == unit and not u:
        return str(value)
    return result_text(convert(number, unit, to), to, None if u is None else abs(convert_difference(u, unit, to)))


def _data(value: Any) -> Any:
    number, unit = getattr(value, "value", None), getattr(value, "unit", None)
    if number is not None and unit is not None:
        return {"value": float(number), "unit": unit} | ({"u": value.u} if getattr(value, "u", None) else {})
    return value if isinstance(value, (str, int)) else [_data(one) for one in value]


# -- rows


def _step(
    state: str, finding: str, says: str, rows: Iterable[Verdict], safety: bool, values: Mapping[str, Any]
) -> Step:
    rows = tuple(rows)
    safe = safety or any(row.characteristic.safety for row in rows)
    return Step(state, finding, says, _about(rows), ({"at": _at(rows)} if rows else {}) | dict(values), safe)


def _outside(rows: list[Verdict], finding: str, says: str, stops: bool, values: Mapping[str, Any]) -> list[Step]:
    if not rows:
        return []
    grave = stops or any(row.characteristic.safety for row in rows)
    return [(stop if grave else to_do)(finding, says, rows, safety=stops, **values)]


def _with(rows: Iterable[Verdict], word: str) -> list[Verdict]:
    return [row for row in rows if row.word == word]


def _judged_rows(rows: Iterable[Verdict]) -> list[Verdict]:
    """Without the raw rows that another row of them is worked out from, and that have no limit of their own."""
    from restonb.measure import without_raw

    return list(without_raw(tuple(rows)))


def _about(rows: Iterable[Verdict]) -> tuple[Place, ...]:
    return tuple((row.characteristic.key, row.position) for row in rows)


def _at(rows: Sequence[Verdict]) -> str:
    """The positions alone where one thing is measured at several; what is measured where there is one place of it."""
    keys = {row.characteristic.key for row in rows}
    if len(keys) == 1 and (folded := fold(row.position for row in rows)):
        return folded
    return listed_places((row.characteristic.what or row.characteristic.key, row.position) for row in rows)


def _name(row: Verdict) -> str:
    what = row.characteristic.what or row.characteristic.key
    return what if row.position == "once" else f"{what} ({row.position})"


def _missing(need: Any) -> str:
    """What is missing of something that a conclusion rests on; '' where it is there."""
    if isinstance(need, NotYet):
        return "; ".join(need.missing)
    return "" if need or (need == 0 and need is not False) else "something that it rests on is not stated"
