-- One row per point of the frontier: the best choice were hours, money or both so much of what is given.
-- The point `grant as given` is the finished plan, all others are estimates with their proven bound.
-- Reads work.frontier.
select
    point_no,
    varied,
    label,
    grant_pct,
    hours_there,
    supplies_budget,
    staff_budget,
    hours,
    supplies_cost,
    staff_cost,
    cost,
    sheets,
    planned_volumes_count,
    benefit,
    bound_benefit,
    is_estimate
from work.frontier
