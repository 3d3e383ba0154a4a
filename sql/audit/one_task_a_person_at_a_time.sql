-- rule: No person has two tasks at once.
select
    one.staff_id,
    one.task_id,
    other.task_id as other_task_id,
    printf(
        '%s has %s (%s to %s) and %s (%s to %s) at once',
        one.staff_id, one.task_id, cast(one.start_at as varchar), cast(one.finish_at as varchar),
        other.task_id, cast(other.start_at as varchar), cast(other.finish_at as varchar)
    ) as what
from published.tasks as one
join published.tasks as other
    on other.staff_id = one.staff_id
    and other.task_id > one.task_id
    and one.start_at < other.finish_at
    and other.start_at < one.finish_at
