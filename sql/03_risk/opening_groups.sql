-- One row per volume and group of openings alike in content, hazards and severity.
-- Openings a person decided on stand in groups of their own (decision_rows: the rows of Decisions that bind).
-- Reads work.listed_openings, clean.opening_rows, clean.row_hazards, clean.row_contents, clean.count_groups,
-- clean.decisions, policy.
-- Three origins: listed places; rows with a count but no places; what the quick-survey counts hold beyond the rows.
with ranks as (
    select distinct hazard, hazard_order from policy.hazards
),
decided_parts as (
    select row_no, volume_id, unnest(string_split(openings, ', ')) as part
    from clean.decisions
    where openings is not null
),
decided_ranges as (
    select
        row_no,
        volume_id,
        cast(split_part(part, '-', 1) as bigint) as first_no,
        cast(split_part(part, '-', -1) as bigint) as last_no
    from decided_parts
),
whole_rows as (
    select row_no, volume_id
    from clean.decisions
    where openings is null
),
decided_volumes as (
    select volume_id, string_agg(cast(row_no as varchar), ', ' order by row_no) as decision_rows
    from whole_rows
    group by volume_id
),
decided_openings as (
    select listed_openings.volume_id, listed_openings.opening_no, decided_ranges.row_no
    from work.listed_openings
    join decided_ranges
        on decided_ranges.volume_id = listed_openings.volume_id
        and listed_openings.opening_no between decided_ranges.first_no and decided_ranges.last_no
    union
    select listed_openings.volume_id, listed_openings.opening_no, whole_rows.row_no
    from work.listed_openings
    join whole_rows using (volume_id)
),
binding_rows as (
    select volume_id, opening_no, string_agg(cast(row_no as varchar), ', ' order by row_no) as decision_rows
    from decided_openings
    group by volume_id, opening_no
),
bound as (
    select listed_openings.*, binding_rows.decision_rows
    from work.listed_openings
    left join binding_rows using (volume_id, opening_no)
),
numbered as (
    select
        *,
        opening_no - row_number() over (
            partition by volume_id, left_content, right_content, hazards, severity, decision_rows
            order by opening_no
        ) as island
    from bound
),
runs as (
    select
        volume_id, left_content, right_content, hazards, severity, decision_rows, island,
        min(opening_no) as first_no,
        max(opening_no) as last_no
    from numbered
    group by all
),
listed as (
    select
        volume_id,
        string_agg(
            case when first_no = last_no then cast(first_no as varchar) else first_no || '-' || last_no end,
            ', ' order by first_no
        ) as openings,
        min(first_no) as first_opening_no,
        sum(last_no - first_no + 1) as openings_count,
        left_content, right_content, hazards, severity, decision_rows,
        'listed' as origin,
        false as has_counts_overlaid
    from runs
    group by all
),
row_pages as (
    select
        row_no,
        coalesce(
            string_agg(content_word, ', ' order by content_word)
                filter (side = 'left' and content_word <> 'unknown'),
            'unknown'
        ) as left_content,
        coalesce(
            string_agg(content_word, ', ' order by content_word)
                filter (side = 'right' and content_word <> 'unknown'),
            'unknown'
        ) as right_content
    from clean.row_contents
    group by all
),
row_sides as (
    select
        *,
        bool_or(side <> '') over (partition by row_no, hazard) as has_side
    from clean.row_hazards
),
row_hazard_lists as (
    select
        row_no,
        string_agg(
            case when side = '' then hazard else side || ':' || hazard end, ', ' order by hazard_order, side
        ) as hazards,
        string_agg(cast(severity_grade as varchar), ', ' order by hazard_order, side) as severity
    from row_sides
    join ranks using (hazard)
    where side <> '' or not has_side
    group by all
),
counted_rows as (
    select
        opening_rows.volume_id,
        null as openings,
        null as first_opening_no,
        sum(opening_rows.count) as openings_count,
        row_pages.left_content, row_pages.right_content, row_hazard_lists.hazards, row_hazard_lists.severity,
        decided_volumes.decision_rows,
        'row_count' as origin,
        false as has_counts_overlaid
    from clean.opening_rows
    join row_pages using (row_no)
    join row_hazard_lists using (row_no)
    left join decided_volumes using (volume_id)
    where opening_rows.openings is null
    group by all
),
survey_counts as (
    select
        count_groups.volume_id,
        null as openings,
        null as first_opening_no,
        count_groups.count as openings_count,
        'unknown' as left_content,
        'unknown' as right_content,
        string_agg(count_groups.hazard, ', ' order by hazard_order) as hazards,
        string_agg(
            cast(grades.severity_grade as varchar), ', ' order by hazard_order
        ) as severity,
        decided_volumes.decision_rows,
        'survey_count' as origin,
        has_counts_overlaid
    from clean.count_groups
    join ranks using (hazard)
    cross join (
        select cast(value as integer) as severity_grade
        from policy.figures
        where key = 'risk.survey_count_severity_grade'
    ) as grades
    left join decided_volumes using (volume_id)
    group by
        count_groups.volume_id, count_groups.count_group_no, count_groups.count, has_counts_overlaid,
        decided_volumes.decision_rows
),
groups as (
    select * from listed
    union all by name
    select * from counted_rows
    union all by name
    select * from survey_counts
)
select
    volume_id,
    cast(
        row_number() over (
            partition by volume_id
            order by first_opening_no nulls last, origin, hazards, severity, left_content, right_content,
                openings_count, decision_rows
        ) as bigint
    ) as group_no,
    cast(openings as varchar) as openings,
    cast(first_opening_no as bigint) as first_opening_no,
    cast(openings_count as bigint) as count,
    left_content,
    right_content,
    hazards,
    severity,
    origin,
    has_counts_overlaid,
    cast(decision_rows as varchar) as decision_rows
from groups
