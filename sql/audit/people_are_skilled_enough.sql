-- rule: Every task asks for the higher skill of its rate and its volume, and its person has it.
-- The volume's skill counts for remove, interleave and check. Source: trade model, section 8.
with grades (skill, grade) as (
    values ('volunteer', 1), ('technician', 2), ('conservator', 3)
),
rate_grades as (
    select
        case rates.task
            when 'interleave_volume' then 'interleave'
            when 'interleave_sheet' then 'interleave'
            when 'cut_setup' then 'cut'
            when 'cut_lift' then 'cut'
            when 'enclose_made_to_measure' then 'enclose'
            else rates.task
        end as kind,
        rates.task = 'enclose_made_to_measure' as is_made_to_measure,
        max(grades.grade) as grade
    from published.rates
    join grades using (skill)
    group by 1, 2
),
asked as (
    select
        tasks.task_id,
        tasks.skill,
        tasks.staff_id,
        staff.skill as staff_skill,
        task_grades.grade as task_grade,
        staff_grades.grade as staff_grade,
        greatest(
            rate_grades.grade,
            case when tasks.kind in ('remove', 'interleave', 'check') then coalesce(volume_grades.grade, 1) else 1 end
        ) as least_grade
    from published.tasks
    join grades as task_grades on task_grades.skill = tasks.skill
    left join published.volumes using (volume_id)
    left join published.enclosures using (volume_id)
    left join grades as volume_grades on volume_grades.skill = volumes.skill
    left join published.staff using (staff_id)
    left join grades as staff_grades on staff_grades.skill = staff.skill
    join rate_grades
        on rate_grades.kind = tasks.kind
        and rate_grades.is_made_to_measure = (tasks.kind = 'enclose' and enclosures.enclosure_id is null)
)
select
    task_id,
    staff_id,
    printf(
        'task %s asks for a %s and goes to %s (%s); rate and volume ask for grade %d',
        task_id, skill, coalesce(staff_id, 'nobody'), coalesce(staff_skill, 'unknown'), least_grade
    ) as what
from asked
where task_grade < least_grade
    or (staff_id is not null and coalesce(staff_grade, 0) < task_grade)
