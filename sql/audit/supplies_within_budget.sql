-- rule: Paper and enclosures together cost no more than the supplies budget, where one is set.
with budgets as (
    select try_cast(value as double) as supplies_budget
    from published.campaign
    where setting = 'supplies_budget'
),
costs as (
    select
        coalesce((select sum(cost) from published.material_totals), 0) as paper_cost,
        coalesce((select sum(cost) from published.enclosure_totals), 0) as enclosure_cost
)
select
    'campaign' as scope,
    printf(
        'paper %.2f and enclosures %.2f are more than the supplies budget of %.2f',
        paper_cost, enclosure_cost, supplies_budget
    ) as what
from budgets
cross join costs
where paper_cost + enclosure_cost > supplies_budget + 1e-6
