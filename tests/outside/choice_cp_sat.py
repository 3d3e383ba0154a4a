"""The choice among options as a constraint programme, solved by CP-SAT: a second, independent way."""

from ortools.sat.python import cp_model

from pipeline.solve.choose.problem import Option, Problem


def cp_sat_benefit(problem: Problem) -> int:
    """Greatest benefit in millionths. Raises AssertionError when CP-SAT does not prove its answer."""
    model = cp_model.CpModel()
    taken: list[tuple[cp_model.IntVar, Option]] = []
    for volume in problem.volumes:
        options = [(model.new_bool_var(""), option) for option in volume.options]
        model.add_exactly_one(variable for variable, _ in options)
        taken += options
    for rank, minutes in enumerate(problem.limits.minutes):
        model.add(sum(variable * option.minutes[rank] for variable, option in taken) <= minutes)
    if problem.limits.staff_hundredths is not None:
        spent = sum(variable * option.staff_hundredths for variable, option in taken)
        model.add(spent <= problem.limits.staff_hundredths)
    if problem.limits.supplies_hundredths is not None:
        bought = [variable * option.supplies_hundredths for variable, option in taken]
        model.add(
            sum(bought) + sum(_packs_beyond_the_shelves(model, problem, taken))
            <= problem.limits.supplies_hundredths
        )
    model.maximize(sum(variable * option.benefit_millionths for variable, option in taken))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    assert status == cp_model.OPTIMAL
    return round(solver.objective_value)


def _packs_beyond_the_shelves(
    model: cp_model.CpModel, problem: Problem, taken: list[tuple[cp_model.IntVar, Option]]
) -> list[cp_model.LinearExpr]:
    """What must be paid for packs of each supply once the shelf is empty."""
    paid: list[cp_model.LinearExpr] = []
    for number, shelf in enumerate(problem.shelves):
        uses = sum(
            variable * amount
            for variable, option in taken
            for at, amount in option.shelf_uses
            if at == number
        )
        packs = model.new_int_var(0, 10**6, "")
        bought = model.new_bool_var("")
        model.add(packs * shelf.pack + shelf.worth >= uses)
        model.add(packs >= 1).only_enforce_if(bought)
        model.add(packs == 0).only_enforce_if(~bought)
        paid.append(packs * shelf.pack + bought * shelf.surcharge)
    return paid
