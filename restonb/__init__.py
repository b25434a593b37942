"""Restoration notebook toolkit: measure, decide, rework, and hand over a record that anyone can check."""

__all__ = ["__version__"]

__version__ = "0.1.0"
