-- rule: Every volume has the tasks its sheets, old leaves and enclosure ask for, once each; every pattern is cut.
-- What was done to a volume that lies in the lab is not asked for again; what was laid in is checked, what was fetched
-- goes back. Source: trade model, section 8.
with steps as (
    select
        volume_id,
        bool_or(kind = 'interleave') and not bool_or(kind = 'check') as needs_check
    from published.steps_done
    group by volume_id
),
worked as (
    select
        volumes.volume_id,
        volumes.sheets > 0 as has_sheets,
        volumes.sheets > 0 and volumes.existing_leaves > 0 as has_old_leaves,
        enclosures.volume_id is not null as has_enclosure,
        steps.volume_id is not null as is_fetched,
        coalesce(steps.needs_check, false) as needs_check
    from published.volumes
    left join published.enclosures using (volume_id)
    left join steps using (volume_id)
),
expected as (
    select volume_id, 'fetch' as kind from worked where (has_sheets or has_enclosure) and not is_fetched
    union all select volume_id, 'remove' from worked where has_old_leaves
    union all select volume_id, 'interleave' from worked where has_sheets
    union all select volume_id, 'check' from worked where has_sheets or needs_check
    union all select volume_id, 'enclose' from worked where has_enclosure
    union all select volume_id, 'return' from worked where has_sheets or has_enclosure or is_fetched
),
found as (
    select volume_id, kind, count(*) as tasks
    from published.tasks
    where kind <> 'cut'
    group by volume_id, kind
),
volume_faults as (
    select
        volume_id,
        printf(
            '%s: %d tasks %s, where %d is asked for', coalesce(volume_id, 'no volume'), coalesce(found.tasks, 0), kind,
            case when expected.kind is null then 0 else 1 end
        ) as what
    from expected
    full join found using (volume_id, kind)
    where coalesce(found.tasks, 0) <> case when expected.kind is null then 0 else 1 end
),
cuts as (
    select pattern_id, count(*) as tasks
    from published.tasks
    where kind = 'cut' and volume_id is null
    group by pattern_id
),
pattern_faults as (
    select
        null as volume_id,
        printf('pattern %s: %d runs are planned', coalesce(pattern_id, '(none)'), coalesce(cuts.tasks, 0)) as what
    from published.patterns
    full join cuts using (pattern_id)
    where patterns.pattern_id is null or cuts.tasks is null
),
mixed_faults as (
    select volume_id, printf('task %s of kind %s names volume and pattern wrongly', task_id, kind) as what
    from published.tasks
    where (kind = 'cut') <> (volume_id is null) or (kind = 'cut') <> (pattern_id is not null)
)
select volume_id, what from volume_faults
union all
select volume_id, what from pattern_faults
union all
select volume_id, what from mixed_faults
