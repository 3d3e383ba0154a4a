-- One row per collection (none: all), measure and basis: every figure the outputs show comes from here.
-- Shared things are shared so that the parts add up to the whole: packs and parents by leaf area of their paper, cut sizes by
-- their sheets, patterns by the leaf area of their paper, cutting hours by sheets.
-- Basis actual: what the returns say is done. Reads work.labour_done, published.volumes, published.interleaves, published.cut_size*, published.material_totals, published.tasks ...
with factors as (
    select
        max(factor) filter (unit_factor = 'mm2_per_m2') as mm2_per_m2
    from policy.unit_factors
),
collections as (
    select distinct collection from published.volumes
),
volume_measures as (
    select collection, 'volumes' as measure, cast(count(*) as double) as value from published.volumes group by all
    union all by name
    select collections.collection, 'volumes_' || states.state as measure, cast(count(volumes.volume_id) as double) as value
    from collections
    cross join (
        select unnest([
            'nothing_needed', 'covered', 'prioritised', 'no_headroom', 'treat_first', 'on_hold', 'no_paper', 'deferred'
        ]) as state
    ) as states
    left join published.volumes on volumes.collection = collections.collection and volumes.state = states.state
    group by all
    union all by name
    select collection, 'openings_at_risk' as measure, cast(sum(hazard_openings) as double) as value
    from published.volumes group by all
    union all by name
    select collection, 'openings_protected' as measure, cast(sum(sheets) as double) as value
    from published.volumes group by all
    union all by name
    select collection, 'sheets' as measure, cast(sum(sheets) as double) as value
    from published.volumes group by all
    union all by name
    select collection, 'benefit_possible' as measure, sum(benefit_possible order by volume_id) as value
    from published.volumes group by all
    union all by name
    select collection, 'benefit_planned' as measure, sum(benefit_planned order by volume_id) as value
    from published.volumes group by all
),
leaves as (
    -- one row per volume and cut size: its share of the size's sheets
    select
        volumes.collection,
        cut_sizes.paper_id,
        cut_sizes.cut_size_id,
        cut_size_volumes.volume_id,
        cut_size_volumes.sheets / cast(cut_sizes.sheets as double) as size_share,
        cut_sizes.spares,
        (cut_sizes.sheets + cut_sizes.spares) * cut_sizes.width_mm * cut_sizes.height_mm / mm2_per_m2 as size_area_m2
    from published.cut_size_volumes
    join published.cut_sizes using (cut_size_id)
    join published.volumes using (volume_id)
    cross join factors
),
paper_areas as (
    select paper_id, sum(size_share * size_area_m2 order by cut_size_id, volume_id) as paper_area_m2
    from leaves
    group by paper_id
),
paper_figures as (
    select
        paper_areas.paper_id,
        paper_areas.paper_area_m2,
        coalesce(costs.paper_cost, 0) as paper_cost,
        coalesce(costs.cost_needed, 0) as cost_needed,
        coalesce(cuts.parents, 0) as parents,
        coalesce(cuts.patterns, 0) as patterns
    from paper_areas
    left join (
        select
            material_totals.paper_id,
            sum(material_totals.cost order by stock_id) as paper_cost,
            sum(material_totals.needed * stock.pack_price / stock.pack_quantity order by stock_id) as cost_needed
        from published.material_totals
        join published.stock using (stock_id)
        group by material_totals.paper_id
    ) as costs using (paper_id)
    left join (
        select
            stock.paper_id,
            sum(patterns.sheets) filter (patterns.from_offcut_of is null) as parents,
            count(*) as patterns
        from published.patterns
        join published.stock using (stock_id)
        group by stock.paper_id
    ) as cuts using (paper_id)
),
leaf_measures as (
    select
        leaves.collection,
        sum(size_share order by cut_size_id, volume_id) as cut_sizes,
        sum(size_share * spares order by cut_size_id, volume_id) as spares,
        sum(size_share * size_area_m2 order by cut_size_id, volume_id) as paper_area_m2,
        sum(size_share * size_area_m2 / paper_figures.paper_area_m2 * paper_figures.paper_cost
            order by cut_size_id, volume_id) as paper_cost,
        sum(size_share * size_area_m2 / paper_figures.paper_area_m2 * paper_figures.cost_needed
            order by cut_size_id, volume_id) as paper_cost_needed,
        sum(size_share * size_area_m2 / paper_figures.paper_area_m2 * paper_figures.parents
            order by cut_size_id, volume_id) as parents,
        sum(size_share * size_area_m2 / paper_figures.paper_area_m2 * paper_figures.patterns
            order by cut_size_id, volume_id) as patterns
    from leaves
    join paper_figures using (paper_id)
    group by leaves.collection
),
leaf_rows as (
    unpivot leaf_measures
    on cut_sizes, spares, paper_area_m2, paper_cost, paper_cost_needed, parents, patterns
    into name measure value value
),
boxed as (
    -- only enclosures whose enclosing has a date are bought
    select enclosures.*
    from published.enclosures
    join published.tasks using (volume_id)
    where tasks.kind = 'enclose' and tasks.start_at is not null
),
enclosure_measures as (
    -- the money for bought ones is shared evenly over their volumes
    select
        volumes.collection,
        count(*) as enclosures,
        sum(enclosure_totals.cost / enclosure_totals.needed order by volumes.volume_id) as enclosure_cost
    from boxed
    join published.volumes using (volume_id)
    join published.enclosure_totals
        on enclosure_totals.enclosure_id is not distinct from boxed.enclosure_id
    group by volumes.collection
),
enclosure_rows as (
    select collection, 'enclosures' as measure, cast(enclosures as double) as value from enclosure_measures
    union all by name
    select collection, 'enclosure_cost' as measure, enclosure_cost as value from enclosure_measures
),
dated as (
    select
        tasks.task_id,
        tasks.kind,
        tasks.volume_id,
        tasks.hours,
        tasks.hours * coalesce(staff.hourly_rate, 0) as cost,
        tasks.finish_at
    from published.tasks
    join published.staff using (staff_id)
),
sheet_shares as (
    select collection, sum(sheets) / nullif(sum(sum(sheets)) over (), 0) as sheet_share
    from published.volumes
    group by collection
),
labour as (
    select volumes.collection, dated.hours, dated.cost, dated.task_id
    from dated
    join published.volumes using (volume_id)
    union all by name
    select sheet_shares.collection, dated.hours * sheet_share as hours, dated.cost * sheet_share as cost, dated.task_id
    from dated
    cross join sheet_shares
    where dated.kind = 'cut'
),
labour_measures as (
    select
        collection,
        coalesce(sum(hours order by task_id), 0) as labour_hours,
        coalesce(sum(cost order by task_id), 0) as labour_cost
    from labour
    group by collection
),
labour_rows as (
    unpivot labour_measures on labour_hours, labour_cost into name measure value value
),
before as (
    select
        volume_id,
        greatest(spine_thickness_mm, fore_edge_thickness_mm) + coalesce(boards_thickness_mm, value)
            as closed_thickness_mm
    from published.volumes
    cross join policy.figures
    where key = 'rehousing.boards_thickness_mm'
),
shelf as (
    -- along the shelf an upright volume takes its thickness, a flat one its width
    select
        volumes.collection,
        sum(
            case
                when boxed.volume_id is null and closed_volumes.shelved = 'upright'
                    then closed_volumes.closed_thickness_mm - before.closed_thickness_mm
                when boxed.volume_id is null then 0
                when boxed.shelved = 'upright'
                    then boxed.inner_depth_mm - before.closed_thickness_mm
                else boxed.inner_width_mm - closed_volumes.closed_width_mm
            end
            order by volumes.volume_id
        ) as value
    from published.volumes
    join work.closed_volumes using (volume_id)
    join before using (volume_id)
    left join boxed using (volume_id)
    group by volumes.collection
),
numbers as (
    select collection, measure, value from volume_measures
    union all by name
    select collection, measure, value from leaf_rows
    union all by name
    select collection, measure, value from enclosure_rows
    union all by name
    select collection, measure, value from labour_rows
    union all by name
    select collection, 'shelf_mm_added' as measure, value from shelf
),
measures as (
    select distinct measure from numbers
    union
    select unnest([
        'cut_sizes', 'spares', 'paper_area_m2', 'paper_cost', 'paper_cost_needed', 'parents', 'patterns', 'enclosures',
        'enclosure_cost', 'labour_hours', 'labour_cost'
    ])
),
by_collection as (
    select collections.collection, measures.measure, coalesce(numbers.value, 0) as value
    from collections
    cross join measures
    left join numbers
        on numbers.collection = collections.collection and numbers.measure = measures.measure
),
bounds as (
    select 'cut_sizes' as measure, cast(coalesce(sum(lower_bound), 0) as double) as value
    from published.cut_size_bounds
    union all by name
    select 'paper_cost_needed' as measure, coalesce(sum(cost_lower_bound order by paper_id), 0) as value
    from published.paper_bounds
),
finishes as (
    select collections.collection, max(dated.finish_at) as finish_at
    from collections
    left join published.volumes using (collection)
    left join dated using (volume_id)
    group by collections.collection
    union all by name
    select null as collection, max(finish_at) as finish_at from dated
),
done as (
    -- what the returns say; nothing in a first plan
    select
        collection,
        cast(count(distinct volume_id) filter (progress = 'done') as double) as volumes,
        cast(sum(laid_sheets_count) as double) as sheets,
        sum(hours_taken order by line_id) as labour_hours,
        sum(cost order by line_id) as labour_cost
    from work.labour_done
    group by collection
),
actuals as (
    unpivot done on volumes, sheets, labour_hours, labour_cost into name measure value value
),
rows as (
    select collection, measure, value, null as text, 'planned' as basis from by_collection
    union all by name
    select collection, measure, value, null as text, 'actual' as basis from actuals
    union all by name
    select null as collection, measure, sum(value order by collection) as value, null as text, 'actual' as basis
    from actuals
    group by measure
    union all by name
    select null as collection, measure, sum(value order by collection) as value, null as text, 'planned' as basis
    from by_collection
    group by measure
    union all by name
    select null as collection, measure, value, null as text, 'bound' as basis from bounds
    union all by name
    select
        collection, 'finish_date' as measure, null as value,
        strftime(finish_at, '%Y-%m-%d') as text, 'planned' as basis
    from finishes
)
select
    cast(collection as varchar) as collection,
    measure,
    case
        when measure like 'volumes%' then 'volumes'
        when measure like 'openings%' then 'openings'
        when measure like 'benefit%' then 'page-equivalents'
        when measure in ('sheets', 'spares', 'parents') then 'sheets'
        when measure in ('cut_sizes', 'patterns') then 'count'
        when measure = 'enclosures' then 'enclosures'
        when measure like '%cost%' then (select currency from clean.campaign)
        when measure = 'paper_area_m2' then 'm2'
        when measure = 'labour_hours' then 'hours'
        when measure = 'shelf_mm_added' then 'mm'
        when measure = 'finish_date' then 'date'
    end as unit,
    cast(value as double) as value,
    cast(text as varchar) as text,
    basis
from rows
