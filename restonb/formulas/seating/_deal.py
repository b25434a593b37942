"""Dealing counted pieces to several feet: whether they suffice, and how few do."""

from __future__ import annotations

from collections.abc import Sequence

from restonb.formulas.seating._stock import Stack, Stock

Thicknesses = tuple[int, ...]
"""One stack thickness for each foot in nm, ascending: who gets which does not matter for the pieces."""


class Dealer:
    """Deals stacks of given thicknesses from one stock, and remembers what it has dealt.

    The fewest pieces are found by asking for the least conceivable number, then one more, and so on: the first number that works is
    the fewest (after a first look whether the most that are allowed would do). Each question is a depth-first search that remembers which (foot, pieces left, pieces to spare) led nowhere.
    """

    def __init__(self, of: Stock, by_thickness: dict[int, tuple[Stack, ...]]) -> None:
        self.counts = of.counts
        self.by_thickness = by_thickness
        self.effort = 0
        self.dealt: dict[Thicknesses, tuple[Stack, ...]] = {}
        self.tried: dict[Thicknesses, int] = {}

    def deal(self, nm: Sequence[int], most: int) -> tuple[Stack, ...] | None:
        """Stacks of these thicknesses in the order asked, with the fewest pieces; None where `most` do not suffice."""
        if self.counts is None:
            return tuple(self.by_thickness[t][0] for t in nm)
        order = sorted(range(len(nm)), key=lambda i: nm[i])
        ascending = tuple(nm[i] for i in order)
        if self.plies(ascending, most) is None:
            return None
        return tuple(stack for _, stack in sorted(zip(order, self.dealt[ascending], strict=True)))

    def plies(self, nm: Thicknesses, most: int) -> int | None:
        """Fewest pieces that make all these thicknesses together; None where `most` pieces do not suffice."""
        least = sum(self.by_thickness[t][0].plies for t in nm)
        if self.counts is None:
            return least if least <= most else None
        most = min(most, sum(self.by_thickness[t][-1].plies for t in nm))
        if nm not in self.dealt and self.tried.get(nm, least - 1) < most - 1 and self._search(nm, most) is None:
            self.tried[nm] = most
        while nm not in self.dealt and self.tried.get(nm, least - 1) < most:
            pieces = self.tried.get(nm, least - 1) + 1
            plan = self._search(nm, pieces)
            if plan is None:
                self.tried[nm] = pieces
            else:
                self.dealt[nm] = plan
        used = sum(s.plies for s in self.dealt.get(nm, ()))
        return used if nm in self.dealt and used <= most else None

    def _search(self, nm: Thicknesses, pieces: int) -> tuple[Stack, ...] | None:
        """A deal with no more than so many pieces, the thickest stacks first; None where there is none."""
        feet = nm[::-1]
        choices = [self.by_thickness[t] for t in feet]
        least = [sum(c[0].plies for c in choices[at:]) for at in range(len(choices) + 1)]
        left = list(self.counts or ())
        dead: set[tuple[int, int, int, tuple[int, ...]]] = set()
        plan: list[Stack] = []

        def down(at: int, start: int, spare: int) -> bool:
            if at == len(feet):
                return True
            state = (at, start, spare, tuple(left))
            if state in dead:
                return False
            self.effort += 1
            for number in range(start, len(choices[at])):
                stack = choices[at][number]
                if stack.plies + least[at + 1] > spare:
                    break
                if any(stack.pieces.count(p) > left[p] for p in stack.pieces):
                    continue
                for p in stack.pieces:
                    left[p] -= 1
                plan.append(stack)
                same = at + 1 < len(feet) and feet[at + 1] == feet[at]
                if down(at + 1, number if same else 0, spare - stack.plies):
                    return True
                plan.pop()
                for p in stack.pieces:
                    left[p] += 1
            dead.add(state)
            return False

        return tuple(plan)[::-1] if down(0, 0, pieces) else None
