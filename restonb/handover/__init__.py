"""The record for somebody else: HTML, PDF, a bag of data that anyone can check."""

from __future__ import annotations

from restonb.handover.verify import Checked, verify

__all__ = ["Checked", "verify"]
