"""Lists of opening numbers as people write them: `3, 7-12`."""

from collections.abc import Iterable, Iterator


def expand_openings(text: str) -> Iterator[int]:
    """Opening numbers of a compact list, in the order written. `3, 7-9` gives 3, 7, 8, 9."""
    for part in filter(None, (piece.strip() for piece in text.split(","))):
        first, _, last = part.partition("-")
        yield from range(int(first), int(last or first) + 1)


def compact_openings(numbers: Iterable[int]) -> str:
    """Opening numbers as a sorted compact list. 7, 3, 8, 9 gives `3, 7-9`."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(str(first) if first == last else f"{first}-{last}" for first, last in runs)
