-- One row per cutting pattern: its stock, its lifts as even as they go, and when it is cut by whom.
-- Reads published.patterns, stock, papers, tasks. Lengths mm; `trim_mm` a side.
with runs as (
    select
        pattern_id,
        cast(count(*) as bigint) as runs,
        min(start_at) as first_start_at,
        max(finish_at) as last_finish_at,
        string_agg(distinct staff_id, ', ' order by staff_id) as staff_ids
    from published.tasks
    where kind = 'cut'
    group by pattern_id
)
select
    patterns.pattern_id,
    patterns.stock_id,
    stock.paper_id,
    papers.description,
    stock.form,
    stock.grain,
    papers.grain_rule,
    stock.trim_mm,
    patterns.sheets,
    patterns.sheet_width_mm,
    patterns.sheet_length_mm,
    patterns.first_cut,
    patterns.lifts,
    cast(patterns.sheets // greatest(patterns.lifts, 1) as bigint) as sheets_in_a_lift,
    cast(patterns.sheets % greatest(patterns.lifts, 1) as bigint) as lifts_with_one_more,
    patterns.used_pct,
    patterns.from_offcut_of,
    coalesce(runs.runs, 0) as runs,
    runs.first_start_at,
    runs.last_finish_at,
    runs.staff_ids
from published.patterns as patterns
join published.stock as stock using (stock_id)
join published.papers as papers using (paper_id)
left join runs using (pattern_id)
order by runs.first_start_at nulls last, patterns.pattern_id
