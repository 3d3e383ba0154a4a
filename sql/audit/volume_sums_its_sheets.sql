-- rule: A volume's sheets, benefit and added bulk are the sums over its groups (bulk: whole um, never rounded down).
with sums as (
    select
        volume_id,
        sum(sheets) as sheets,
        sum(benefit) as benefit,
        sum(sheets * thickness_um) as least_um,
        sum(sheets * ceil(thickness_um)) as most_um
    from published.interleaves
    group by volume_id
)
select
    volumes.volume_id,
    printf(
        '%s: %d sheets, benefit %.6f, %d um are stated; its groups give %d sheets, benefit %.6f, %.1f um',
        volumes.volume_id, volumes.sheets, volumes.benefit_planned, volumes.added_um,
        coalesce(sums.sheets, 0), coalesce(sums.benefit, 0), coalesce(sums.least_um, 0)
    ) as what
from published.volumes
left join sums using (volume_id)
where volumes.sheets <> coalesce(sums.sheets, 0)
    or abs(volumes.benefit_planned - coalesce(sums.benefit, 0)) > 1e-6
    or volumes.added_um < coalesce(sums.least_um, 0) - 1e-6
    or volumes.added_um > coalesce(sums.most_um, 0) + 1e-6
