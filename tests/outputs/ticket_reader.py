"""A guillotine operator, for the tests, who knows nothing but the lines of a cut ticket and the sheet in hand.

Each line names piles, the way the knife runs, the gauge, what falls and what stays at the gauge. What falls or is left
over at the end becomes a pile of that name. Trim and waste go away.
"""

from collections import Counter
from collections.abc import Sequence

from pipeline.outputs.cut_sequence import OFFCUT, WHOLE_SHEET, Box, Cut

Sides = tuple[int, int]
"""Along the stock's width and length, um."""
AWAY = ("trim", "waste")


class TicketError(AssertionError):
    """A line of the ticket cannot be followed."""


class Operator:
    """The piles on the bench by name; several may have one name."""

    def __init__(self, sheet: Sides) -> None:
        self.piles: dict[str, list[list[int]]] = {WHOLE_SHEET: [list(sheet)]}

    def cut(self, lines: Sequence[Cut]) -> None:
        """Follow the lines. Lines on the same piles that follow each other are one job at the gauge."""
        jobs: list[list[Cut]] = []
        for line in lines:
            if jobs and jobs[-1][0].piles == line.piles and jobs[-1][0].axis == line.axis:
                jobs[-1].append(line)
            else:
                jobs.append([line])
        for job in jobs:
            for name in job[0].piles:
                self._cut_pile(name, job)

    def _cut_pile(self, name: str, job: Sequence[Cut]) -> None:
        pile, axis = self._take(name), 0 if job[0].axis == "width" else 1
        for line in job:
            fallen = pile[axis] - line.gauge_um
            if fallen <= 0:
                raise TicketError(f"line {line.number}: the gauge is beyond the pile of {name}")
            pile[axis] = line.gauge_um
            if line.falls not in AWAY:
                other = list(pile)
                other[axis] = fallen
                self._put(name, line.falls, other)
        self._put(name, "" if job[-1].stays == "the rest" else job[-1].stays, pile)

    def _take(self, name: str) -> list[int]:
        """The pile of a name. A part that was never parted from its strip lies under the strip's name."""
        for known in (name, name.rpartition(",")[0]):
            if self.piles.get(known):
                return self.piles[known].pop(0)
        raise TicketError(f"there is no pile {name}")

    def _put(self, parent: str, name: str, sides: list[int]) -> None:
        full = name if name.startswith("strip") else ", ".join(filter(None, (parent, name)))
        self.piles.setdefault(full, []).append(sides)

    def pieces(self) -> Counter[tuple[str, Sides]]:
        """What lies on the bench in the end, but for off-cuts: letter (blank: an uncut strip) and sides."""
        found: Counter[tuple[str, Sides]] = Counter()
        for name, piles in self.piles.items():
            last = name.rpartition(", ")[2]
            if last != OFFCUT:
                for width, length in piles:
                    found[last if len(last) == 1 else "", (width, length)] += 1
        return found


def assert_reproduced(sheet: Box, pieces: Sequence[Box], lines: Sequence[Cut]) -> None:
    """The ticket's lines, followed by the operator, give exactly the pattern's pieces. Raises TicketError."""
    operator = Operator((sheet.right_um - sheet.x_um, sheet.top_um - sheet.y_um))
    operator.cut(lines)
    wanted: Counter[tuple[str, Sides]] = Counter(
        (piece.label, (piece.right_um - piece.x_um, piece.top_um - piece.y_um)) for piece in pieces
    )
    out = operator.pieces()
    named = Counter({(letter, sides): count for (letter, sides), count in out.items() if letter})
    uncut = Counter({sides: count for (letter, sides), count in out.items() if not letter})
    rest: Counter[Sides] = Counter()
    for (_, sides), count in (wanted - named).items():
        rest[sides] += count
    if named - wanted or rest != uncut:  # a strip that is one piece has no letter: the picture names it
        raise TicketError(f"pieces differ: wanted {dict(wanted)}, on the bench {dict(out)}")
