-- One row per pattern and cut size on it: pieces from one parent sheet and from all, and what they are for.
-- Reads published.pattern_pieces, patterns, cut_sizes, cut_size_volumes.
with pieces as (
    select pattern_id, cut_size_id, count(*) as per_sheet
    from published.pattern_pieces
    group by pattern_id, cut_size_id
),
served as (
    select
        cut_size_id,
        count(*) as volumes,
        string_agg(concat(volume_id, ' (', sheets, ')'), ', ' order by volume_id) as volume_list
    from published.cut_size_volumes
    group by cut_size_id
)
select
    pieces.pattern_id,
    pieces.cut_size_id,
    cut_sizes.width_mm,
    cut_sizes.height_mm,
    cast(pieces.per_sheet as bigint) as per_sheet,
    cast(pieces.per_sheet * patterns.sheets as bigint) as pieces,
    cut_sizes.sheets,
    cut_sizes.spares,
    cast(served.volumes as bigint) as volumes,
    served.volume_list
from pieces
join published.patterns as patterns using (pattern_id)
join published.cut_sizes as cut_sizes using (cut_size_id)
left join served using (cut_size_id)
order by pieces.pattern_id, pieces.cut_size_id
