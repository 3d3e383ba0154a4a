-- One row per skill that tasks or volumes need and nobody in Staff has (volunteer < technician < conservator).
-- Nothing is said while a person's row is faulty. Reads clean.rates, clean.volumes, clean.staff, work.named_ids.
with ranks(skill, skill_rank) as (
    values ('volunteer', 1), ('technician', 2), ('conservator', 3)
),
people as (
    select max(skill_rank) as best_rank, count(*) as people_count
    from clean.staff
    join ranks using (skill)
),
named as (
    select min(sheet) as sheet, count(distinct named_id) as named_count
    from work.named_ids
    where is_own and field = 'staff_id'
),
needed as (
    select skill, 'tasks ' || string_agg(task, ', ' order by task) as what
    from clean.rates
    group by skill
    union all
    select skill, count(*) || ' volumes, the first ' || arg_min(volume_id, row_no) as what
    from clean.volumes
    where hold is null
    group by skill
)
select
    'nobody_has_skill' as code,
    'warning' as level,
    named.sheet,
    cast(null as bigint) as row_no,
    cast(null as varchar) as field,
    '' as volume_id,
    'nobody in Staff has the skill of a ' || needed.skill || ', which is needed for ' || needed.what as message,
    'add such a person, or lower the skill if that is right' as action
from needed
join ranks using (skill)
cross join people
cross join named
where ranks.skill_rank > people.best_rank and people.people_count = named.named_count
order by needed.skill, needed.what
