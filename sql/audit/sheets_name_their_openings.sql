-- rule: Where a group's openings are listed its sheets name one opening each, of that group, none twice; else none.
with listed_groups as (
    select volume_id, group_no, unnest(string_split(openings, ',')) as part
    from published.opening_groups
    where openings is not null and openings <> ''
),
group_places as (
    select
        volume_id,
        group_no,
        unnest(generate_series(
            cast(trim(split_part(part, '-', 1)) as bigint),
            cast(trim(split_part(part, '-', -1)) as bigint)
        )) as opening_no
    from listed_groups
),
listed_sheets as (
    select volume_id, group_no, paper_id, unnest(string_split(openings, ',')) as part
    from published.interleaves
    where openings is not null and openings <> ''
),
sheet_places as (
    select
        volume_id,
        group_no,
        paper_id,
        unnest(generate_series(
            cast(trim(split_part(part, '-', 1)) as bigint),
            cast(trim(split_part(part, '-', -1)) as bigint)
        )) as opening_no
    from listed_sheets
),
named as (
    select volume_id, group_no, paper_id, count(*) as places
    from sheet_places
    group by volume_id, group_no, paper_id
),
miscounted as (
    select
        interleaves.volume_id,
        interleaves.group_no,
        interleaves.paper_id,
        printf(
            '%s group %d, %s: %d sheets name %d openings',
            interleaves.volume_id, interleaves.group_no, interleaves.paper_id, interleaves.sheets,
            coalesce(named.places, 0)
        ) as what
    from published.interleaves
    left join named using (volume_id, group_no, paper_id)
    left join (select distinct volume_id, group_no from group_places) as listed using (volume_id, group_no)
    where coalesce(named.places, 0) <> case when listed.volume_id is null then 0 else interleaves.sheets end
),
strangers as (
    select
        sheet_places.volume_id,
        sheet_places.group_no,
        sheet_places.paper_id,
        printf(
            '%s group %d, %s: opening %d does not belong to the group',
            sheet_places.volume_id, sheet_places.group_no, sheet_places.paper_id, sheet_places.opening_no
        ) as what
    from sheet_places
    anti join group_places using (volume_id, group_no, opening_no)
),
doubled as (
    select
        volume_id,
        min(group_no) as group_no,
        min(paper_id) as paper_id,
        printf('%s opening %d gets %d sheets', volume_id, opening_no, count(*)) as what
    from sheet_places
    group by volume_id, opening_no
    having count(*) > 1
)
select volume_id, group_no, paper_id, what from miscounted
union all
select volume_id, group_no, paper_id, what from strangers
union all
select volume_id, group_no, paper_id, what from doubled
