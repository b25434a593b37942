"""What the numbers of a sheet say to do next, as data: one pure module per template, laid out like `notebooks/`."""

from restonb.decisions.not_yet import NotYet
from restonb.decisions.steps import (
    STATES,
    Amount,
    Step,
    judged,
    not_known,
    sentence,
    settled,
    stop,
    to_do,
    worst_state,
)

__all__ = [
    "STATES",
    "Amount",
    "NotYet",
    "Step",
    "judged",
    "not_known",
    "sentence",
    "settled",
    "stop",
    "to_do",
    "worst_state",
]
