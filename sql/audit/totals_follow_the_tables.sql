-- rule: The campaign's totals say what the tables say: volumes by state, openings, benefit, sheets, money and hours.
with units (mm2_per_m2) as (
    values (1000000.0::double)
),
volume_totals as (
    select
        collection,
        count(*) as volumes,
        count(*) filter (state = 'nothing_needed') as volumes_nothing_needed,
        count(*) filter (state = 'covered') as volumes_covered,
        count(*) filter (state = 'prioritised') as volumes_prioritised,
        count(*) filter (state = 'no_headroom') as volumes_no_headroom,
        count(*) filter (state = 'treat_first') as volumes_treat_first,
        count(*) filter (state = 'on_hold') as volumes_on_hold,
        count(*) filter (state = 'no_paper') as volumes_no_paper,
        count(*) filter (state = 'deferred') as volumes_deferred,
        sum(hazard_openings) as openings_at_risk,
        sum(sheets) as openings_protected,
        sum(sheets) as sheets,
        sum(benefit_possible) as benefit_possible,
        sum(benefit_planned) as benefit_planned
    from published.volumes
    group by grouping sets ((collection), ())
),
volume_rows as (
    unpivot (
        select collection, columns(* exclude (collection))::double from volume_totals
    )
    on columns(* exclude (collection))
    into name measure value value
),
whole_rows as (
    select 'spares' as measure, sum(spares) as value from published.cut_sizes
    union all select 'cut_sizes', count(*) from published.cut_sizes
    union all select 'patterns', count(*) from published.patterns
    union all select 'parents', sum(sheets) from published.patterns where from_offcut_of is null
    union all select 'paper_area_m2', sum((sheets + spares) * width_mm * height_mm / mm2_per_m2)
        from published.cut_sizes cross join units
    union all select 'paper_cost', sum(cost) from published.material_totals
    union all select 'enclosures', sum(needed) from published.enclosure_totals
    union all select 'enclosure_cost', sum(cost) from published.enclosure_totals
    union all select 'labour_hours', sum(hours) from published.tasks where staff_id is not null
    union all select 'labour_cost', sum(tasks.hours * coalesce(staff.hourly_rate, 0))
        from published.tasks join published.staff using (staff_id)
),
expected as (
    select collection, measure, value from volume_rows
    union all
    select null as collection, measure, coalesce(value, 0) as value from whole_rows
),
compared as (
    select expected.collection, expected.measure, expected.value, campaign_totals.value as stated
    from expected
    left join published.campaign_totals
        on campaign_totals.collection is not distinct from expected.collection
        and campaign_totals.measure = expected.measure
        and campaign_totals.basis = 'planned'
)
select
    collection,
    measure,
    printf(
        '%s, %s: %s is stated, %.6f follows',
        coalesce(collection, 'all collections'), measure, coalesce(cast(stated as varchar), 'nothing'), value
    ) as what
from compared
where stated is null or abs(stated - value) > 1e-6 * greatest(1, abs(value))
