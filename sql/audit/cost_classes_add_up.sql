-- rule: The budget by grant classes adds up, and agrees with the totals, the contingency and the indirect rate.
-- Each class to half a hundredth of the currency; the totals exactly. Classes: form SF-424A.
with classes (cost_class) as (
    values
        ('personnel'), ('fringe'), ('travel'), ('equipment'), ('supplies'), ('contractual'), ('construction'),
        ('other'), ('total_direct'), ('indirect'), ('total')
),
stated as (
    select classes.cost_class, sum(cost_classes.cost) as cost, count(cost_classes.cost_class) as rows_count
    from classes
    left join published.cost_classes using (cost_class)
    group by classes.cost_class
),
percentages as (
    select
        coalesce(max(try_cast(value as double)) filter (setting = 'contingency_pct'), 0) as contingency_pct,
        coalesce(max(try_cast(value as double)) filter (setting = 'indirect_pct'), 0) as indirect_pct
    from published.campaign
),
found as (
    select
        coalesce(max(value) filter (measure = 'labour_cost'), 0) as labour_cost,
        coalesce(max(value) filter (measure = 'paper_cost'), 0)
            + coalesce(max(value) filter (measure = 'enclosure_cost'), 0) as supplies_cost
    from published.campaign_totals
    where collection is null and basis = 'planned'
),
sums as (
    select
        coalesce(sum(cost) filter (cost_class not in ('total_direct', 'indirect', 'total')), 0) as direct,
        coalesce(sum(cost) filter (cost_class = 'total_direct'), 0) as total_direct,
        coalesce(sum(cost) filter (cost_class = 'indirect'), 0) as indirect
    from stated
),
expected as (
    select 'personnel' as cost_class, labour_cost as cost, 0.005 as tolerance from found
    union all select 'supplies', supplies_cost, 0.005 from found
    union all select 'other', (labour_cost + supplies_cost) * contingency_pct / 100, 0.005
        from found cross join percentages
    union all select 'total_direct', direct, 0 from sums
    union all select 'indirect', total_direct * indirect_pct / 100, 0.005 from sums cross join percentages
    union all select 'total', total_direct + indirect, 0 from sums
)
select
    stated.cost_class,
    printf(
        '%s: %d rows, %.4f is stated, %.4f follows',
        stated.cost_class, rows_count, coalesce(stated.cost, 0), coalesce(expected.cost, stated.cost, 0)
    ) as what
from stated
left join expected using (cost_class)
cross join (select count(*) as volumes_count from published.volumes) as volumes
where (rows_count <> 1 and volumes_count > 0)
    or abs(coalesce(stated.cost, 0) - expected.cost) > tolerance + 1e-6
