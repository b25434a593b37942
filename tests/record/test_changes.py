"""What changed between two runs: said by name, and nothing where nothing did."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from restonb.record.changes import compare_filed

FEELER = {"unit": "mm", "resolution": 0.01, "error": 0.005, "percent": 0.0, "expansion": None}


def run(**said: Any) -> Any:
    """A run that says nothing but what is given."""
    nothing: dict[str, Any] = {
        "seq": 1, "at": "2026-03-14T10:00:00+00:00", "state": "good", "reason": "", "template_digest": "t",
        "parameters": {}, "spec": {}, "filed": {}, "basis": {"rule": "prove", "instruments": {"feeler": FEELER}},
    }  # fmt: skip
    return SimpleNamespace(**nothing | said)


def verdict(word: str, **more: Any) -> dict[str, Any]:
    """One filed row; 'not measured' has no value."""
    value = None if word == "not measured" else 0.04
    return {
        "characteristic": "gap",
        "what": "gap",
        "position": "foot 1",
        "unit": "mm",
        "value": value,
        "verdict": word,
    } | more


def told(old: Any, new: Any) -> list[tuple[str, str, str]]:
    return [(c.what, c.was, c.now) for c in compare_filed(old, new)]


def test_runs_that_rest_on_the_same_differ_in_nothing() -> None:
    assert told(run(), run()) == []
    assert compare_filed(run(), run()).summary.endswith("nothing changed")


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("error", 0.02, ("error limit of feeler", "0.005 mm", "0.02 mm")),
        ("resolution", None, ("resolution of feeler", "0.01 mm", "nothing")),
        ("percent", 4.0, ("error in per cent of the reading of feeler", "0", "4")),
    ],
)
def test_a_gauge_that_is_stated_otherwise_is_named(field: str, value: float | None, says: tuple[str, str, str]) -> None:
    new = run(basis={"rule": "prove", "instruments": {"feeler": FEELER | {field: value}}})
    assert told(run(), new) == [says]
    assert "1 statement about a gauge changed" in compare_filed(run(), new).summary


def test_another_rule_is_named() -> None:
    new = run(basis={"rule": "simple", "instruments": {"feeler": FEELER}})
    assert told(run(), new) == [("rule", "prove", "simple")]


@pytest.mark.parametrize("basis", [{}, {"rule": "", "instruments": {}}])
def test_a_run_that_took_nothing_from_them_says_nothing_of_them(basis: dict[str, Any]) -> None:
    assert told(run(basis=basis), run()) == []
    assert told(run(), run(basis=basis)) == []


def test_limits_that_were_edited_are_told_by_their_numbers() -> None:
    old = run(spec={"gap": "a"}, filed={"verdicts": [verdict("inside", upper=0.05)]})
    new = run(spec={"gap": "b"}, filed={"verdicts": [verdict("inside", lower=0.0, upper=0.06)]})
    assert told(old, new) == [("limits of gap", "to 0.05 mm", "0 to 0.06 mm")]
    other = run(spec={"gap": "b"}, filed={"verdicts": [verdict("inside", upper=0.05)]})  # its words were edited
    assert told(old, other) == [("spec row gap", "as it stood", "edited")]
    assert told(run(), run(spec={"gap": "a"})) == [("spec row gap", "none", "added")]


def test_only_a_template_with_other_code_was_edited() -> None:
    old, same, other = (
        run(template_digest=digest, basis={"template": {"code": code}})
        for digest, code in (("1", "a"), ("2", "a"), ("3", "b"))
    )
    assert told(old, same) == []  # parameters written into its cell are not an edit
    assert told(old, other) == [("template", "as it stood", "edited")]
    assert told(run(), run(template_digest="u")) == [("template", "as it stood", "edited")]


def test_a_place_is_newly_measured_or_no_longer_measured() -> None:
    old, new = (run(filed={"verdicts": [verdict(word)]}) for word in ("not measured", "inside"))
    assert "1 place newly measured" in compare_filed(old, new).summary
    assert "1 place no longer measured" in compare_filed(new, old).summary
    assert told(run(filed={}), old) == []  # it is looked at now, and still not measured


def step(finding: str, state: str, text: str, **more: Any) -> dict[str, Any]:
    return {"finding": finding, "state": state, "text": text, "about": [], "values": {}, "safety": False} | more


def decided(*steps: dict[str, Any]) -> Any:
    return run(filed={"format": 2, "steps": list(steps)})


def test_decisions_are_compared_by_what_was_found_and_shown_by_their_sentences() -> None:
    old = decided(step("gap.outside", "to do", "Fit shims of 0.2 mm."), step("drag", "settled", "It turns."))
    assert told(old, decided(step("gap.outside", "to do", "Put in shims."), step("drag", "settled", "Turns."))) == []
    new = decided(step("gap", "settled", "The gap is right."), step("drag", "settled", "It turns."))
    assert told(old, new) == [("decision", "Fit shims of 0.2 mm.", "The gap is right.")]
    worse = decided(step("gap.outside", "stop", "Fit shims of 0.2 mm."), step("drag", "settled", "It turns."))
    assert [c.kind for c in compare_filed(old, worse)] == ["decision"], "the same words, and another state"
    assert told(old, decided(old.filed["steps"][0])) == [("decision", "It turns.", "nothing more")]


def test_a_persons_own_words_are_told_apart() -> None:
    one, other = (decided(step("in own words", "to do", t, values={"words": t})) for t in ("Oil it.", "Wash it."))
    assert told(one, other) == [("decision", "Oil it.", "Wash it.")]


def test_a_decision_that_was_filed_as_sentences_stands_beside_the_new_one() -> None:
    old = run(filed={"decision": ["It turns."]})
    assert told(old, decided(step("drag", "settled", "It turns."))) == []
    assert told(old, decided(step("drag", "to do", "Oil it."))) == [("decision", "It turns.", "Oil it.")]
    assert told(run(), decided()) == []


def test_what_was_in_doubt_is_told() -> None:
    sure, doubted = (run(filed={"verdicts": [verdict("inside", doubt=d)]}) for d in ("", "feeler failed its check"))
    assert told(sure, doubted) == [("gap, foot 1", "0.04 mm inside", "0.04 mm in doubt")]


def test_a_gauge_filed_before_it_could_state_a_percentage_had_none() -> None:
    before = {name: value for name, value in FEELER.items() if name != "percent"}
    old = run(basis={"rule": "prove", "instruments": {"feeler": before}})
    assert told(old, run()) == [], "0 per cent is what was meant"
    new = run(basis={"rule": "prove", "instruments": {"feeler": FEELER | {"percent": 4.0}}})
    assert told(old, new) == [("error in per cent of the reading of feeler", "0", "4")]


def test_a_decision_that_says_more_or_less_names_only_that() -> None:
    one, two = step("drag", "settled", "It turns."), step("gap", "settled", "The gap is right.")
    assert told(decided(one), decided(one, two)) == [("decision", "as it was", "The gap is right.")]
    assert told(decided(one, two), decided(one)) == [("decision", "The gap is right.", "nothing more")]
