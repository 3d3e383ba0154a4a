-- rule: All hours planned cost no more than the staff budget, where one is set.
with budgets as (
    select try_cast(value as double) as staff_budget
    from published.campaign
    where setting = 'staff_budget'
),
costs as (
    select coalesce(sum(tasks.hours * coalesce(staff.hourly_rate, 0)), 0) as labour_cost
    from published.tasks
    join published.staff using (staff_id)
)
select
    'campaign' as scope,
    printf('labour of %.2f is more than the staff budget of %.2f', labour_cost, staff_budget) as what
from budgets
cross join costs
where labour_cost > staff_budget + 1e-6
