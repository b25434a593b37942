"""The one way to write an entry down: RFC 8785 canonical JSON, and the SHA-256 chain over it."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256
from json.encoder import encode_basestring
from typing import Any

from restonb.errors import RecordError

__all__ = ["GENESIS", "canonical", "digest_of", "json_text"]

GENESIS = "0" * 64
"""What the first entry has for 'previous'."""

_WORDS = {None: "null", True: "true", False: "false"}


def json_text(value: str | int | bool | None) -> str:
    """Text, true, false, null or an integer below 2^53 as RFC 8785 writes it, by the C code of the standard
    library: an import of 100,000 readings waits for this. A property test holds it to `canonical`.
    """
    if type(value) is str:
        return encode_basestring(value)
    return str(value) if type(value) is int else _WORDS[value]  # type: ignore[index]


def canonical(value: Any) -> str:
    """`value` as RFC 8785 canonical JSON.

    Raises RecordError for what JSON cannot hold without loss: NaN, infinity, Decimal, integers from 2^53 on,
    keys that are not text, objects of a library.
    """
    import rfc8785

    try:
        return rfc8785.dumps(value).decode("utf-8")
    except rfc8785.FloatDomainError:
        raise RecordError("the record takes no NaN or infinity: write null where there is no value") from None
    except rfc8785.IntegerDomainError:
        raise RecordError("the record takes no integer of 2^53 or more: write it as text") from None
    except (rfc8785.CanonicalizationError, UnicodeError, RecursionError, TypeError) as error:
        raise RecordError(
            f"the record takes only text, numbers, true, false, null, lists and tables: {error}; "
            "write a magnitude as text, '0.25'"
        ) from None


def digest_of(seq: int, at: str, kind: str, body: str | Mapping[str, Any], previous: str) -> str:
    """The digest of an entry: SHA-256, in hex, of the canonical JSON of {at, body, kind, previous, seq}, where
    'body' is itself the SHA-256 of the canonical JSON of the body.

    So an export can leave a body out, and the chain still proves every other entry and their order.

    `body` is the canonical text as stored, or the table itself. `at`, `kind` and `previous` hold no character
    that JSON escapes (the journal writes none, and `verify` refuses any).
    """
    text = body if isinstance(body, str) else canonical(dict(body))
    sealed = sha256(text.encode("utf-8")).hexdigest()
    whole = f'{{"at":"{at}","body":"{sealed}","kind":"{kind}","previous":"{previous}","seq":{seq}}}'
    return sha256(whole.encode("utf-8")).hexdigest()
