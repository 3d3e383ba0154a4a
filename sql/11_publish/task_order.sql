-- One row per pair of tasks that must follow each other.
select
    before_task_id, after_task_id
from work.task_order
