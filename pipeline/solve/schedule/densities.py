"""What a minute of work is worth: benefit per minute of volumes, and of cuts with the work they unlock."""

from collections.abc import Mapping, Sequence

from pipeline.solve.schedule.problem import Problem


def users_of_cuts(problem: Problem, volume_nos: Sequence[int]) -> dict[int, list[int]]:
    """Volumes that wait for each cut task, among those given."""
    users: dict[int, list[int]] = {}
    for volume_no in volume_nos:
        for cut in problem.volume_cuts[volume_no]:
            users.setdefault(cut, []).append(volume_no)
    return users


def block_density(problem: Problem, cut: int, users: Sequence[int], densities: Mapping[int, float]) -> float:
    """Greatest value per minute of a cut together with the best of the volumes that wait for it."""
    value, minutes, best = 0.0, float(problem.tasks[cut].minutes), 0.0
    for volume_no in sorted(users, key=lambda no: (-densities[no], no)):
        value += densities[volume_no] * problem.volume_minutes[volume_no]
        minutes += problem.volume_minutes[volume_no]
        best = max(best, value / max(minutes, 1.0))
    return best


def own_densities(problem: Problem) -> list[float]:
    """Benefit (millionths) per minute of each volume's own tasks."""
    return [
        volume.benefit_millionths / max(minutes, 1)
        for volume, minutes in zip(problem.volumes, problem.volume_minutes, strict=True)
    ]


def densities_in_order(problem: Problem, order: Sequence[int]) -> list[float]:
    """The volumes' own densities dealt out anew, the greatest to the first of `order`."""
    ranked = sorted(own_densities(problem), reverse=True)
    dealt = [0.0] * len(order)
    for density, volume_no in zip(ranked, order, strict=True):
        dealt[volume_no] = density
    return dealt
