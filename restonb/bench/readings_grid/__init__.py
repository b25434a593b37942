"""The grid that readings are typed into: `widget.EntryGrid` the page, `desk` what answers it, `standing` what it shows."""

__all__: list[str] = []
