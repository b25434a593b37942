"""Saying at the bench that a joint was opened: `widget.Opening` the page, `desk` what answers it."""

__all__: list[str] = []
