"""Signing a joint off: `widget.SignOff` the page, `desk` what answers it, `shown` the same without a kernel."""

__all__: list[str] = []
