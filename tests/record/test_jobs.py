"""A part that comes back belongs to the journey it left on, in as few words as leave no doubt."""

from __future__ import annotations

import pytest

from restonb.record.jobs import job_of

REBORE = ("rebore", "the town", "bore", None)
WELD_A, WELD_B = ("weld", None, None, "frame"), ("weld", None, None, "stand")


@pytest.mark.parametrize(
    ("said", "job"),
    [
        ({"what": "rebore"}, REBORE),
        ({"what": "rebore", "sheet": "bore"}, REBORE),
        ({"what": "rebore", "sheet": "head"}, ("rebore", None, "head", None)),  # another one
        ({"what": "weld"}, ("weld", None, None, None)),  # which of two cannot be told
        ({"what": "weld", "joint": "stand"}, WELD_B),
        ({"what": "plate"}, ("plate", None, None, None)),
    ],
)
def test_the_job_that_an_entry_goes_on_with(said: dict[str, str], job: tuple[str | None, ...]) -> None:
    body = {"what": "", "where": "", "sheet": None, "joint": None} | said
    assert job_of(body, [REBORE, WELD_A, WELD_B]) == job
