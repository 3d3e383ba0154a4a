"""Tasks that may start, greatest value first."""

from dataclasses import dataclass, field

Queue = list[tuple[float, int]]
"""Tasks by value, greatest first: a heap of (-value, task_no)."""


@dataclass
class Queues:
    """Tasks that may start, by who may take them and whether they are early."""

    graded: list[Queue]
    early_clearing: list[Queue]
    owned: list[Queue]
    cuts: Queue = field(default_factory=list)
    early_fetching: Queue = field(default_factory=list)

    def all(self) -> list[Queue]:
        """Every queue."""
        return [*self.graded, *self.early_clearing, *self.owned, self.cuts, self.early_fetching]

    def copy(self) -> "Queues":
        """The same tasks, to be taken apart from these."""
        return Queues(
            [list(queue) for queue in self.graded],
            [list(queue) for queue in self.early_clearing],
            [list(queue) for queue in self.owned],
            list(self.cuts),
            list(self.early_fetching),
        )
