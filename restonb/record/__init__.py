"""The append-only journal of one build, and what it adds up to."""

from restonb.record._canonical import digest_of
from restonb.record._journal import Entry, Record
from restonb.record._verify import Verification, verify

__all__ = ["Entry", "Record", "Verification", "digest_of", "verify"]
