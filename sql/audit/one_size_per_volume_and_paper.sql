-- rule: All leaves of one paper in a volume have one size, and there is a size for every paper a volume gets.
with sizes as (
    select cut_size_volumes.volume_id, cut_sizes.paper_id, count(*) as sizes, sum(cut_size_volumes.sheets) as sheets
    from published.cut_size_volumes
    join published.cut_sizes using (cut_size_id)
    group by cut_size_volumes.volume_id, cut_sizes.paper_id
),
planned as (
    select volume_id, paper_id, sum(sheets) as sheets
    from published.interleaves
    group by volume_id, paper_id
)
select
    volume_id,
    paper_id,
    printf(
        '%s, %s: %d sheets are planned, %d are cut, in %d sizes',
        volume_id, paper_id, coalesce(planned.sheets, 0), coalesce(sizes.sheets, 0), coalesce(sizes.sizes, 0)
    ) as what
from planned
full join sizes using (volume_id, paper_id)
where coalesce(sizes.sizes, 0) <> 1 or coalesce(planned.sheets, 0) <> coalesce(sizes.sheets, 0)
