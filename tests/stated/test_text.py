"""What was found in a file is shown on one line."""

import pytest

from restonb.stated._text import quoted


@pytest.mark.parametrize("long", [0, 1, 57, 58, 59, 60, 61, 400])
def test_what_was_found_is_shown_whole_if_it_fits_in_sixty_characters(long: int) -> None:
    shown = quoted("x" * long)
    assert len(shown) <= 60
    assert (shown == f"'{'x' * long}'") is (long <= 58)
    assert shown.startswith("'")
    assert shown.endswith("'")
