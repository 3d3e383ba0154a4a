-- rule: A cut size's sheets are the sum over the volumes it serves; each size serves a volume at least.
with served as (
    select cut_size_id, sum(sheets) as sheets
    from published.cut_size_volumes
    group by cut_size_id
)
select
    cut_size_id,
    printf(
        'size %s: %d sheets are stated, its volumes take %d',
        cut_size_id, coalesce(cut_sizes.sheets, 0), coalesce(served.sheets, 0)
    ) as what
from published.cut_sizes
full join served using (cut_size_id)
where coalesce(cut_sizes.sheets, 0) <> coalesce(served.sheets, -1)
