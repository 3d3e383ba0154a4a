-- One row per stratum that cannot be estimated as it is: more volumes surveyed than there are, fewer than two of more, and
-- one for the first volume without a stratum where Strata is filled in. Rows that are faulty elsewhere count as surveyed.
-- Reads clean.strata, work.named_ids.
with surveyed as (
    select named_id as stratum, count(*) as volumes_count
    from work.named_ids
    where field = 'stratum' and not is_own
    group by named_id
),
strata as (
    select strata.*, coalesce(surveyed.volumes_count, 0) as volumes_count, own.sheet
    from clean.strata
    left join surveyed using (stratum)
    join work.named_ids as own on own.is_own and own.field = 'stratum' and own.named_id = strata.stratum
        and own.row_no = strata.row_no
),
volumes as (
    select sheet, row_no, named_id as volume_id
    from work.named_ids
    where is_own and field = 'volume_id'
),
without as (
    select
        volumes.*,
        row_number() over (order by volumes.row_no) as place,
        count(*) over () as volumes_count
    from volumes
    anti join (select row_no from work.named_ids where field = 'stratum' and not is_own) as named using (row_no)
    where exists (select 1 from clean.strata)
)
select
    case when volumes_count > volumes_in_all then 'stratum_too_small' else 'stratum_unsampled' end as code,
    case when volumes_count > volumes_in_all then 'error' else 'warning' end as level,
    sheet,
    row_no,
    'volumes_in_all' as field,
    '' as volume_id,
    'stratum ' || stratum || ' has ' || volumes_in_all || ' volumes in all, and ' || volumes_count || ' surveyed'
        || case
            when volumes_count > volumes_in_all then ''
            when volumes_count = 0 then ': nothing can be said of the whole collection'
            else ': no interval can be told'
        end as message,
    case when volumes_count > volumes_in_all then 'count again' else 'survey two or more of them' end as action
from strata
where volumes_count > volumes_in_all or (volumes_count < 2 and volumes_count < volumes_in_all)
union all by name
select
    'stratum_missing' as code,
    'warning' as level,
    sheet,
    row_no,
    'volume_id' as field,
    volume_id,
    volumes_count || ' volumes have no stratum, this the first; they are planned and left out of the estimates' as message,
    'fill in their stratum' as action
from without
where place = 1
