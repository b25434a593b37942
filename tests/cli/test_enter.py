"""Entering what is no reading: the words that may be written, and what looks wrong beside the plan."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest


def test_the_words_that_a_key_takes_are_told(build: Path, say: Callable) -> None:
    out = say("enter").out
    assert "state=apart|dry-fitted|temporary|tightened|final" in out
    assert "good=yes|no" in out
    said = say("enter", "joint", "joint=mounting")
    assert said.code == 2
    assert "write state=apart or state=dry-fitted" in said.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("note", "oil seeps"), "note: oil seeps"),
        (("note", "gap = 0.1 all round", "private=yes"), "note: gap = 0.1 all round"),
        (("usage", "41210 mile"), "the meter shows 41210 mile"),
    ],
)
def test_what_needs_no_key_is_taken_without(build: Path, say: Callable, words: tuple[str, ...], says: str) -> None:
    assert says in say("enter", *words).out


def test_another_kind_still_wants_its_keys(build: Path, say: Callable) -> None:
    assert "'mounting' has no name" in say("enter", "joint", "mounting").err


def test_a_torque_far_from_the_plan_is_taken_and_remarked_on(build: Path, say: Callable) -> None:
    out = say("enter", "joint", "joint=mounting", "state=tightened", "fasteners=1: 24 ft-lb; 2: 17.7 ft-lb").out
    assert "look again: 1: 24 ft-lb, where joints.toml plans 24 N m" in out  # 32.5 N m
    assert "look again: 2" not in out  # 17.7 ft-lb are 24.0 N m
    assert "look again" not in say("enter", "joint", "joint=mounting", "state=dry-fitted", "fasteners=1: 5 N m").out
    assert "look again: 2: 5 N m" in say("enter", "joint", "joint=mounting", "state=final", "fasteners=2: 5 N m").out


def test_work_is_sent_to_somebody_and_comes_back_without_saying_all_again(build: Path, say: Callable) -> None:
    out = say("enter", "work", "what=rebore", "who=a machine shop", "where=the town", "state=sent", "sheet=toy").out
    assert "work sent to a machine shop: rebore" in out
    say("enter", "work", "what=rebore", "state=returned")
    out = say("status").out
    assert "rebore (the town): returned, not yet accepted" in out
    assert out.count("rebore") == 1
    say("enter", "work", "what=rebore", "state=accepted")
    assert "rebore" not in say("status").out


def test_two_jobs_of_one_name_are_kept_apart(build: Path, say: Callable) -> None:
    for joint in ("frame", "mounting"):
        say("enter", "work", "what=weld", f"joint={joint}", "state=sent")
    say("enter", "work", "what=weld", "joint=frame", "state=accepted")
    out = say("status").out
    assert out.count("weld: sent out") == 1
