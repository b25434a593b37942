"""How a desk answers the page: one answer for each message, whatever went wrong."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from typing import Any

from restonb.errors import RestonbError

__all__ = ["answered"]


def answered(
    message: Mapping[str, Any], able: Mapping[str, Callable[[], dict[str, Any]]], carried: tuple[str, ...] = ()
) -> dict[str, Any]:
    """What to send back: the `id` of the message, its `type` as 'for', what is `carried` back as it came, and what the
    work for its type gives; 'refused', with the reason, where that cannot be done.
    """
    kind = str(message.get("type"))
    about = {"id": message.get("id"), "for": message.get("type"), **{key: message.get(key) for key in carried}}
    try:
        if kind not in able:
            raise RestonbError(f"unknown message '{kind}'; open the notebook again")
        return about | able[kind]()
    except RestonbError as error:
        return about | {"type": "refused", "why": str(error)}
    except Exception as error:  # whatever went wrong, the page must hear that this was not taken
        logging.getLogger(__name__).exception("not taken: %s", kind)
        return about | {"type": "refused", "why": f"not taken, because of a bug in restonb: {error}"}
