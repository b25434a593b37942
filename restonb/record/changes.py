"""What changed between two runs of a sheet: parameters, limits, values side by side, verdicts that flipped."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from html import escape
from typing import Any, Protocol

from restonb.record.filed import decided_lines, has_steps, steps_of, verdict_word
from restonb.record.stands.basis import gauge_changes

__all__ = ["Change", "Changes", "compare_filed"]

SMALL = 1e-9
"""Values nearer to each other than this part of their size are the same: sums in another order differ so."""


class Filed(Protocol):
    """A run, as far as two of them can be compared."""

    @property
    def seq(self) -> int: ...
    @property
    def at(self) -> str: ...
    @property
    def state(self) -> str: ...
    @property
    def reason(self) -> str: ...
    @property
    def template_digest(self) -> str: ...
    @property
    def parameters(self) -> Mapping[str, Any]: ...
    @property
    def spec(self) -> Mapping[str, str]: ...
    @property
    def filed(self) -> Mapping[str, Any]: ...


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that has changed. `kind`: state, verdict, first, gone, value, number, parameter, limit, gauge, rule,
    decision, template; 'first' is a place that was not measured before, 'gone' one that is not any more."""

    kind: str
    what: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class Changes:
    """All that changed since the run `since` (its date; '' is 'there was none'), the gravest first."""

    since: str
    rows: tuple[Change, ...] = ()

    def __iter__(self) -> Iterator[Change]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def flipped(self) -> tuple[Change, ...]:
        """The verdicts that are not what they were."""
        return tuple(row for row in self.rows if row.kind == "verdict")

    @property
    def summary(self) -> str:
        """One line: 'since the run of 2026-03-14: 1 verdict flipped, 3 values changed'."""
        if not self.since:
            return "first run of this sheet: nothing to compare with"
        counts = []
        for kind, (one, many) in _COUNTED.items():
            n = sum(row.kind == kind for row in self.rows)
            if n:
                counts.append(f"{n} {one if n == 1 else many}")
        return f"since the run of {self.since}: {', '.join(counts) or 'nothing changed'}"

    def as_data(self) -> dict[str, Any]:
        """JSON-ready."""
        return {"since": self.since, "summary": self.summary, "changes": [asdict(row) for row in self.rows]}

    def __str__(self) -> str:
        wide = max((len(row.what) for row in self.rows), default=0)
        lines = [f"  {row.what:<{wide}}  {row.was} → {row.now}" for row in self.rows]
        return "\n".join([self.summary, *lines])

    __repr__ = __str__

    def _repr_html_(self) -> str:
        head = f"<p><b>{escape(self.summary[:1].upper() + self.summary[1:])}.</b></p>"
        if not self.rows:
            return head
        body = "".join(
            f'<tr class="restonb-change-{row.kind}"><td>{escape(row.what)}</td><td>{escape(row.was)}</td>'
            f"<td>{'<b>' if row.kind == 'verdict' else ''}{escape(row.now)}{'</b>' if row.kind == 'verdict' else ''}"
            "</td></tr>"
            for row in self.rows
        )
        return (
            f'{head}<table class="restonb-changes"><thead><tr><th scope="col">what</th><th scope="col">was</th>'
            f'<th scope="col">now</th></tr></thead><tbody>{body}</tbody></table>'
        )


_COUNTED = {
    "state": ("run that ended otherwise", "runs that ended otherwise"),
    "verdict": ("verdict flipped", "verdicts flipped"),
    "first": ("place newly measured", "places newly measured"),
    "gone": ("place no longer measured", "places no longer measured"),
    "value": ("value changed", "values changed"),
    "number": ("result changed", "results changed"),
    "parameter": ("parameter changed", "parameters changed"),
    "limit": ("row of the spec book changed", "rows of the spec book changed"),
    "gauge": ("statement about a gauge changed", "statements about gauges changed"),
    "rule": ("rule changed", "rules changed"),
    "decision": ("decision changed", "decisions changed"),
    "template": ("template edited", "templates edited"),
}


_NO_VALUE = ("not measured", "not looked at")


def compare_filed(old: Filed | None, new: Filed) -> Changes:
    """What has changed from `old` to `new`; without an `old`, there is nothing to compare."""
    if old is None:
        return Changes("")
    rows = [
        *_change_of("state", "how the run ended", _ending(old), _ending(new)),
        *_verdicts(old.filed, new.filed),
        *_numbers(old.filed, new.filed),
        *_parameters(old.parameters, new.parameters),
        *_specs(old, new),
        *_basis(getattr(old, "basis", {}), getattr(new, "basis", {})),
        *_decisions(old.filed, new.filed),
        *_template(old, new),
    ]
    order = list(_COUNTED)
    return Changes(old.at[:10], tuple(sorted(rows, key=lambda row: order.index(row.kind))))


def _change_of(kind: str, what: str, was: str, now: str) -> list[Change]:
    return [] if was == now else [Change(kind, what, was or "nothing", now or "nothing")]


def _ending(run: Filed) -> str:
    return run.state + (f" ({run.reason})" if run.reason else "")


def _decisions(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    """Only the steps that are not in both, by what they found and their state; shown by their sentences.

    A result that was filed as sentences has nothing to compare by: against it the whole decision stands side by side.
    """
    if not (has_steps(old) and has_steps(new)):
        was, now = decided_lines(old), decided_lines(new)
        if was != now:
            yield Change("decision", "decision", " ".join(was) or "nothing", " ".join(now) or "nothing")
        return
    tables = [{_finding_of(step): step for step in steps_of(filed)} for filed in (old, new)]
    gone, come = ([_step(step) for key, step in a.items() if key not in b] for a, b in (tables, tables[::-1]))
    if gone or come:
        yield Change("decision", "decision", " ".join(gone) or "as it was", " ".join(come) or "nothing more")


def _finding_of(step: Mapping[str, Any]) -> tuple[str, str, str]:
    """What it found and its state; of a person's own words, these too, since no finding tells them apart."""
    return str(step.get("finding")), str(step.get("state")), str((step.get("values") or {}).get("words", ""))


def _step(step: Mapping[str, Any]) -> str:
    return str(step.get("text", ""))


def _verdicts(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    """Values that moved and verdicts that flipped, place by place."""
    tables = [{(v.get("characteristic"), v.get("position")): v for v in f.get("verdicts") or ()} for f in (old, new)]
    for key in dict.fromkeys((*tables[1], *tables[0])):
        was, now = tables[0].get(key), tables[1].get(key)
        newest = now or was or {}
        position = "" if key[1] == "once" else f", {key[1]}"
        what = f"{newest.get('what') or key[0]}{position}"
        words = [verdict_word(row) if row else "not looked at" for row in (was, now)]
        values = [_amount(row) for row in (was, now)]
        if set(words) <= set(_NO_VALUE):
            continue
        if words[0] != words[1]:
            kind = "gone" if words[1] in _NO_VALUE else "first" if words[0] in _NO_VALUE else "verdict"
            yield Change(kind, what, *(f"{v} {w}".strip() for v, w in zip(values, words, strict=True)))
        elif not _same(was, now):
            yield Change("value", what, values[0] or "not measured", values[1] or "not measured")


def _numbers(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    was, now = old.get("numbers") or {}, new.get("numbers") or {}
    for name in dict.fromkeys((*now, *was)):
        if not _same(was.get(name), now.get(name)):
            what = (now.get(name) or was[name]).get("what") or name
            yield Change("number", what, _amount(was.get(name)) or "none", _amount(now.get(name)) or "none")


def _parameters(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    for name in dict.fromkeys((*new, *old)):
        if name not in old or name not in new or old[name] != new[name]:
            yield Change("parameter", name, *(_value_text(side.get(name)) for side in (old, new)))


def _specs(old_run: Filed, new_run: Filed) -> Iterator[Change]:
    """Rows that were edited: with the limits that both runs judged by, where it is these."""
    old, new = old_run.spec, new_run.spec
    for key in dict.fromkeys((*new, *old)):
        limits = [_limits(run.filed, key) for run in (old_run, new_run)]
        if old.get(key) != new.get(key) and all(limits) and limits[0] != limits[1]:
            yield Change("limit", f"limits of {key}", *limits)
        elif old.get(key) != new.get(key):
            was, now = ("as it stood", "edited") if key in old and key in new else ("none", "added")
            yield Change("limit", f"spec row {key}", *((was, now) if key in new else ("as it stood", "taken out")))


def _template(old: Filed, new: Filed) -> Iterator[Change]:
    """Parameters that were written into the cell are named as such; here only what else was edited."""
    codes = [(getattr(run, "basis", {}).get("template") or {}).get("code") for run in (old, new)]
    edited = codes[0] != codes[1] if all(codes) else old.template_digest != new.template_digest
    if edited:
        yield Change("template", "template", "as it stood", "edited")


def _limits(filed: Mapping[str, Any], key: str) -> str:
    """'0 to 0.05 mm', 'to 0.05 mm, worn out beyond 0.1 mm'; '' where no verdict of that characteristic was filed."""
    row = next((v for v in filed.get("verdicts") or () if v.get("characteristic") == key), None)
    if row is None:
        return ""
    lower, upper, wear = (row.get(name) for name in ("lower", "upper", "wear_limit"))
    unit = str(row.get("unit") or "")
    both = f"{_value_text(lower)} to {_value_text(upper)}" if None not in (lower, upper) else ""
    said = both or (
        f"to {_value_text(upper)}" if upper is not None else f"from {_value_text(lower)}" if lower is not None else ""
    )
    worn = f"worn out beyond {_value_text(wear)}" if wear is not None else ""
    return ", ".join(f"{part} {unit}" for part in (said, worn) if part) or "no limit"


def _basis(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    """What both runs took from the gauges and the rule, and is stated otherwise; a run of old did not keep it."""
    if not old or not new:
        return
    then, now = old.get("instruments") or {}, new.get("instruments") or {}
    for key in now:
        if key in then:
            for word, was, to in gauge_changes(then[key], now[key]):
                yield Change("gauge", f"{word} of {key}", was, to)
    if old.get("rule") and new.get("rule"):
        yield from _change_of("rule", "rule", old["rule"], new["rule"])


def _value_text(value: Any) -> str:
    """3.0 and 3 alike as '3': JSON does not tell them apart."""
    if value is None:
        return "none"
    if isinstance(value, list):
        return "[" + ", ".join(_value_text(v) for v in value) + "]"
    return f"{value:.12g}" if isinstance(value, float) else str(value)


def _same(was: Mapping[str, Any] | None, now: Mapping[str, Any] | None) -> bool:
    if was is None or now is None:
        return was is now
    a, b = was.get("value"), now.get("value")
    if isinstance(a, (int, float)) and isinstance(b, (int, float)):
        return was.get("unit") == now.get("unit") and abs(a - b) <= SMALL * max(abs(a), abs(b))
    return bool(a == b)


def _amount(row: Mapping[str, Any] | None) -> str:
    """The value as a person reads it, '' where there is none."""
    from restonb.quantity import write

    if row is None or not isinstance(row.get("value"), (int, float)):
        return ""
    return write(float(row["value"]), str(row.get("unit") or "1"), row.get("U") or None)
