"""The choice of sheets as one mixed-integer programme per volume, solved by HiGHS: a second way."""

import highspy
import numpy as np
import numpy.typing as npt

from pipeline.solve.fit.problem import Problem

Floats = npt.NDArray[np.float64]


def mip_benefit(problem: Problem, volume: int) -> int:
    """Greatest benefit of one volume in ticks, recomputed in whole numbers from the solver's answer.

    One whole number of sheets per group and paper, one yes-or-no per paper. Marks are not modelled.
    Raises AssertionError when HiGHS does not prove its answer.
    """
    rows = np.flatnonzero(problem.group_volume == volume)
    ticks = problem.benefit_ticks[rows]
    group, paper = np.nonzero(ticks >= max(problem.floor_ticks, 1))
    if not len(group):
        return 0
    count = problem.group_count[rows]
    solver = highspy.Highs()
    for option, value in (
        ("output_flag", False),
        ("threads", 1),
        ("random_seed", 1),
        ("mip_rel_gap", 0.0),
        ("mip_abs_gap", 0.0),
        ("mip_feasibility_tolerance", 1e-9),
        ("primal_feasibility_tolerance", 1e-9),
    ):
        solver.setOptionValue(option, value)
    solver.passModel(_model(problem, (group, paper), (count, ticks[group, paper], volume)))
    solver.run()
    assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    sheets = np.rint(np.array(solver.getSolution().col_value[: len(group)])).astype(np.int64)
    assert (sheets * problem.papers.thickness_um[paper]).sum() <= problem.headroom_um[volume]
    assert len(set(paper[sheets > 0].tolist())) <= problem.max_papers
    return int((sheets * ticks[group, paper]).sum())


def _model(
    problem: Problem,
    pairs: tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]],
    volume: tuple[npt.NDArray[np.int64], npt.NDArray[np.int64], int],
) -> highspy.HighsLp:
    group, paper = pairs
    count, ticks, number = volume
    sheets, papers, groups = len(group), len(problem.papers), len(count)
    entries: list[tuple[int, int, float]] = []
    upper: list[float] = []
    upper.append(float(problem.headroom_um[number]))
    entries += [(0, column, float(problem.papers.thickness_um[paper[column]])) for column in range(sheets)]
    upper.append(float(min(problem.max_papers, papers)))
    entries += [(1, sheets + one, 1.0) for one in range(papers)]
    upper += [float(each) for each in count]
    entries += [(2 + int(group[column]), column, 1.0) for column in range(sheets)]
    for column in range(sheets):
        row = 2 + groups + column
        entries += [(row, column, 1.0), (row, sheets + int(paper[column]), -float(count[group[column]]))]
        upper.append(0.0)
    entries.sort(key=lambda entry: (entry[1], entry[0]))
    lp = highspy.HighsLp()
    lp.num_col_ = sheets + papers
    lp.num_row_ = len(upper)
    lp.sense_ = highspy.ObjSense.kMaximize
    lp.col_cost_ = np.concatenate([ticks / ticks.max(), np.zeros(papers)])
    lp.col_lower_ = np.zeros(sheets + papers)
    lp.col_upper_ = np.concatenate([count[group].astype(float), np.ones(papers)])
    lp.row_lower_ = np.full(len(upper), -highspy.kHighsInf)
    lp.row_upper_ = np.array(upper)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * (sheets + papers)
    starts = np.searchsorted([column for _, column, _ in entries], np.arange(sheets + papers + 1))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = starts
    lp.a_matrix_.index_ = np.array([row for row, _, _ in entries])
    lp.a_matrix_.value_ = np.array([value for _, _, value in entries])
    return lp
