-- One row per reference to a volume, paper or person that its sheet does not name (anti-join).
-- Rows that are faulty elsewhere still count as named. Nothing is said of a sheet that names nobody: that is found alone.
-- Reads work.named_ids.
with own as (
    select distinct field, named_id from work.named_ids where is_own
),
referred as (
    select * from work.named_ids where not is_own and field in (select field from own)
),
unknown as (
    select referred.*
    from referred
    anti join own using (field, named_id)
),
sought as (
    -- nearest names are worked out for a few hundred: more unknown ones have one cause, not one slip each
    select distinct field, named_id from unknown order by field, named_id limit 300
),
nearest as (
    select
        sought.field,
        sought.named_id,
        arg_max(own.named_id, jaro_winkler_similarity(lower(sought.named_id), lower(own.named_id))) as near_id,
        max(jaro_winkler_similarity(lower(sought.named_id), lower(own.named_id))) as likeness
    from sought
    join (select * from own order by field, named_id) as own using (field)
    group by sought.field, sought.named_id
)
select
    'unknown_' || split_part(unknown.field, '_', 1) as code,
    'error' as level,
    unknown.sheet,
    unknown.row_no,
    unknown.field,
    case when unknown.field = 'volume_id' then unknown.named_id else '' end as volume_id,
    unknown.field || ' ' || unknown.named_id || ' is not in the list of '
        || case unknown.field when 'volume_id' then 'volumes' when 'paper_id' then 'papers' when 'stratum' then 'strata' else 'staff' end
        as message,
    case when nearest.likeness >= 0.8 then 'did you mean ' || nearest.near_id || '?' else 'add it there or mend it here' end
        as action
from unknown
left join nearest using (field, named_id)
