"""Entries are written as RFC 8785 says, and chained as design and handover promise."""

from __future__ import annotations

import hashlib
import json
from decimal import Decimal

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from restonb.errors import RecordError
from restonb.record import Record, digest_of
from restonb.record._canonical import canonical
from restonb.record.bodies import KINDS, number_text, text_of


@pytest.mark.recalled("RFC 8785 section 3.2.2, the example object")
def test_the_example_of_the_standard() -> None:
    example = json.loads(
        r'{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],'
        r'"string":"\u20ac$\u000F\u000aA\u0027\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}'
    )
    assert canonical(example) == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
words = texts.filter(lambda t: t.strip() != "")


@settings(deadline=None)
@given(
    st.fixed_dictionaries(
        {
            "sheet": words,
            "characteristic": words,
            "position": words,
            "unit": words,
            "value": st.decimals(allow_nan=False, allow_infinity=False, places=4).map(lambda d: format(d, "f")),
        },
        optional={"typed": texts, "note": texts, "instrument": st.none() | texts},
    )
)
def test_the_quick_writer_writes_what_the_reference_library_writes(body: dict[str, str]) -> None:
    text = text_of("reading", body)
    whole = json.loads(text)
    assert text.encode() == rfc8785.dumps(whole)
    assert whole.keys() == KINDS["reading"].fields.keys()
    assert all(whole[key] == value for key, value in body.items())


@settings(deadline=None)
@given(st.integers(1, 2**53 - 1), words, st.booleans())
def test_numbers_and_flags_are_written_the_same_way(seq: int, why: str, private: bool) -> None:
    strike, note = {"seq": seq, "why": why}, {"text": why, "private": private, "sheet": None, "salt": why}
    assert text_of("strike", strike).encode() == rfc8785.dumps(strike)
    assert text_of("note", note).encode() == rfc8785.dumps(note)


def test_the_chain_can_be_recomputed_with_the_standard_library_alone(record: Record) -> None:
    record.append("note", {"text": 'quote " and \\ and é and \n'})
    record.append("usage", {"value": "12034.5", "unit": "mile"})
    previous = "0" * 64
    for entry in record.entries():
        body = json.dumps(entry.body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        sealed = hashlib.sha256(body.encode()).hexdigest()
        plain = {"seq": entry.seq, "at": entry.at, "kind": entry.kind, "body": sealed, "previous": previous}
        text = json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        assert entry.previous == previous
        assert entry.digest == hashlib.sha256(text.encode()).hexdigest()
        assert entry.digest == digest_of(entry.seq, entry.at, entry.kind, entry.body, previous)
        previous = entry.digest


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (float("nan"), "NaN or infinity: write null"),
        (float("inf"), "NaN or infinity: write null"),
        (2**53, r"2\^53 or more: write it as text"),
        (Decimal("0.1"), "write a magnitude as text, '0.25'"),
        ({1: "a"}, "only text, numbers"),
        ("\ud800", "only text, numbers"),
    ],
)
def test_what_json_would_lose_is_refused(record: Record, value: object, message: str) -> None:
    with pytest.raises(RecordError, match=message):
        record.append("run", {"template": "t", "sheet": "s", "state": "good", "filed": {"value": value}})
    assert record.head() is None


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.00001, "0.00001"),
        (1e22, "10000000000000000000000"),
        (24.0, "24"),
        ("0.250", "0.250"),
        (-0.0, "0"),
        (12, "12"),
        ("1e3", "1000"),
    ],
)
def test_numbers_are_kept_as_plain_decimals(value: object, text: str) -> None:
    assert number_text(value) == text


@pytest.mark.parametrize("value", ["", "five", "nan", float("inf"), None])
def test_what_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(RecordError, match="is not a number: write digits"):
        number_text(value)
