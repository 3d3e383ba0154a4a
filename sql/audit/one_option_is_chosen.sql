-- rule: Exactly one option of each volume is chosen, the plan follows it, and no sheets are planned without one.
with counted as (
    select
        volume_id,
        count(*) filter (chosen) as chosen_options,
        max(sheets) filter (chosen) as sheets,
        max(benefit) filter (chosen) as benefit
    from published.options
    group by volume_id
)
select
    volumes.volume_id,
    printf(
        '%s: %d options chosen, with %d sheets and benefit %.6f; planned are %d sheets and benefit %.6f',
        volumes.volume_id, coalesce(counted.chosen_options, 0), coalesce(counted.sheets, 0),
        coalesce(counted.benefit, 0), volumes.sheets, volumes.benefit_planned
    ) as what
from published.volumes
left join counted using (volume_id)
where (counted.volume_id is null and volumes.sheets > 0)
    or counted.chosen_options <> 1
    or counted.sheets <> volumes.sheets
    or abs(counted.benefit - volumes.benefit_planned) > 1e-6
