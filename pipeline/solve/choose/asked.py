"""Volumes of which a person asked that a sheet must lie there: they come before what the optimiser would prefer."""

from dataclasses import replace

from pipeline.solve.choose.baseline import Room
from pipeline.solve.choose.problem import Problem, Solution, Volume


def asked_first(problem: Problem) -> Problem:
    """The problem without the empty option of asked volumes, in their order, as far as the limits reach.

    The first option with sheets holds all that was asked for (nested options). A volume that the limits do not
    reach keeps its empty option: the plan then says that the decision could not be followed.
    """
    room = Room(problem, Solution((0,) * len(problem.volumes)))
    volumes = []
    for volume in problem.volumes:
        if volume.is_asked and len(volume.options) > 1 and room.fits(volume.options[0], volume.options[1]):
            room.replace(volume.options[0], volume.options[1])
            volumes.append(replace(volume, options=volume.options[1:]))
        else:
            volumes.append(volume)
    return replace(problem, volumes=tuple(volumes))


def in_all_options(problem: Problem, narrowed: Problem, solution: Solution) -> Solution:
    """An answer of the narrowed problem as one of the whole problem."""
    return Solution(
        tuple(
            pick + _left_out(whole, part)
            for whole, part, pick in zip(problem.volumes, narrowed.volumes, solution.picks, strict=True)
        )
    )


def _left_out(whole: Volume, part: Volume) -> int:
    return len(whole.options) - len(part.options)
