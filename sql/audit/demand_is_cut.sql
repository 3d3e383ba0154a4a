-- rule: The patterns yield every size's sheets and spares, of the right paper, but for leaves that lie ready.
with yielded as (
    select
        pattern_pieces.cut_size_id,
        sum(patterns.sheets) filter (stock.paper_id = cut_sizes.paper_id) as sheets
    from published.pattern_pieces
    join published.patterns using (pattern_id)
    join published.stock using (stock_id)
    join published.cut_sizes using (cut_size_id)
    group by pattern_pieces.cut_size_id
)
select
    cut_sizes.cut_size_id,
    printf(
        'size %s: %d sheets and %d spares are needed, %d lie ready, the patterns yield %d of %s',
        cut_sizes.cut_size_id, cut_sizes.sheets, cut_sizes.spares, coalesce(cut_sizes.ready_leaves_count, 0),
        coalesce(yielded.sheets, 0), cut_sizes.paper_id
    ) as what
from published.cut_sizes
left join yielded using (cut_size_id)
where coalesce(yielded.sheets, 0) < cut_sizes.sheets + cut_sizes.spares - coalesce(cut_sizes.ready_leaves_count, 0)
