-- rule: No point of the frontier is above its proven bound, more hours or money bring no less, one point is the plan.
-- Estimated points alone are set in order: the plan itself stands on other figures. Where enclosures come first in the
-- supplies budget, a budget that pays for more of them may leave less for sheets: shares of the money are then not compared.
with enclosures_first as (
    select coalesce(max(value), 0) > 0 as is_first
    from published.policy
    where key = 'choose.is_enclosure_before_paper'
),
estimates as (
    select
        *,
        lag(benefit) over (partition by varied order by grant_pct nulls last) as benefit_of_less
    from published.frontier
    where is_estimate
)
select
    cast(point_no as varchar) as point,
    printf('%s %s: %.4f page losses avoided, proven bound %.4f', varied, label, benefit, bound_benefit) as what
from published.frontier
where benefit > bound_benefit + 1e-6
union all
select
    cast(point_no as varchar) as point,
    printf('%s %s: %.4f page losses avoided, %.4f with less', varied, label, benefit, benefit_of_less) as what
from estimates
cross join enclosures_first
where benefit < benefit_of_less - 1e-6
    and not (is_first and varied <> 'hours' and supplies_budget is not null)
union all
select 'the plan' as point, printf('%d points are no estimate', count(*) filter (not is_estimate)) as what
from published.frontier
having count(*) > 0 and count(*) filter (not is_estimate) <> 1
