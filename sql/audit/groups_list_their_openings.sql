-- rule: A group with listed openings lists as many as it counts, inside the volume, none of them in another group.
with listed as (
    select volume_id, group_no, count, unnest(string_split(openings, ',')) as part
    from published.opening_groups
    where openings is not null and openings <> ''
),
ranges as (
    select
        volume_id,
        group_no,
        count,
        cast(trim(split_part(part, '-', 1)) as bigint) as first_no,
        cast(trim(split_part(part, '-', -1)) as bigint) as last_no
    from listed
),
places as (
    select volume_id, group_no, count, unnest(generate_series(first_no, last_no)) as opening_no
    from ranges
),
miscounted as (
    select
        volume_id,
        group_no,
        printf('%s group %d lists %d openings and counts %d', volume_id, group_no, count(*), any_value(count)) as what
    from places
    group by volume_id, group_no
    having count(*) <> any_value(count)
),
outside as (
    select
        places.volume_id,
        places.group_no,
        printf(
            '%s group %d lists opening %d; the volume has 0 to %d',
            places.volume_id, places.group_no, places.opening_no, volumes.leaves
        ) as what
    from places
    join published.volumes using (volume_id)
    where places.opening_no not between 0 and volumes.leaves
),
doubled as (
    select
        volume_id,
        min(group_no) as group_no,
        printf('%s opening %d stands in %d groups', volume_id, opening_no, count(*)) as what
    from places
    group by volume_id, opening_no
    having count(*) > 1
)
select volume_id, group_no, what from miscounted
union all
select volume_id, group_no, what from outside
union all
select volume_id, group_no, what from doubled
