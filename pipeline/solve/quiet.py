"""A HiGHS solver that prints nothing: one thread, fixed seed.

The public class of highspy prints a banner on standard output when it is made, before any option can be set; its own
base class, which has every call used here, does not.
"""

from highspy._core import _Highs as QuietHighs

MOST_SEED = 2**31


def quiet_highs(seed: int) -> QuietHighs:
    """A silent solver on one thread, so that the same model gives the same answer."""
    solver = QuietHighs()
    for option, value in (("output_flag", False), ("threads", 1), ("random_seed", seed % MOST_SEED)):
        solver.setOptionValue(option, value)
    return solver
