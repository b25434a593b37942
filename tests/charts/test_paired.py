"""What a chart takes from what a sheet has: pairs and names, of the same length."""

import pytest

from restonb import charts


def test_speeds_and_outputs_go_by_pairs() -> None:
    assert charts.paired([1000, 3000], [12.1, 14.2]) == [(1000, 12.1), (3000, 14.2)]
    assert charts.named(["left", "right"], [0.1, 0.2]) == {"left": 0.1, "right": 0.2}


@pytest.mark.parametrize("take", [charts.paired, charts.named])
def test_a_name_or_a_value_left_over_is_refused(take: object) -> None:
    with pytest.raises(ValueError, match="zip"):
        take(["left", "right"], [0.1])  # type: ignore[operator]
