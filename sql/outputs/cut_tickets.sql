-- One row per cutting pattern: its stock, its lifts as even as they go, when it is cut by whom, and its place among
-- the tickets of that visit to the guillotine (a person's cuts of one day; of several runs the first counts).
-- Reads published.patterns, stock, papers, tasks. Lengths mm; `trim_mm` a side.
with cuts as (
    select *, dense_rank() over (order by cast(start_at as date), staff_id) as visit_no
    from published.tasks
    where kind = 'cut' and start_at is not null
),
first_visits as (
    select pattern_id, min(visit_no) as visit_no, min(start_at) as first_start_at
    from cuts
    group by pattern_id
),
placed as (
    select
        pattern_id,
        visit_no,
        row_number() over (partition by visit_no order by first_start_at, pattern_id) as ticket_no,
        count(*) over (partition by visit_no) as tickets
    from first_visits
),
runs as (
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
    runs.staff_ids,
    cast(placed.visit_no as bigint) as visit_no,
    cast(placed.ticket_no as bigint) as ticket_no,
    cast(placed.tickets as bigint) as tickets
from published.patterns as patterns
join published.stock as stock using (stock_id)
join published.papers as papers using (paper_id)
left join runs using (pattern_id)
left join placed using (pattern_id)
order by placed.visit_no nulls last, runs.first_start_at nulls last, patterns.pattern_id
