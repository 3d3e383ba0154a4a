-- One row per option: estimated hours, cost of paper and enclosure, and of labour.
-- An hour of a least skill costs the mean hourly rate of the people with at least that skill, weighted by their hours;
-- an empty rate costs nothing (volunteers). What stands in the lab is valued like what is bought.
-- Reads work.option_bulk, work.option_hours, work.option_supplies, clean.staff, policy.unit_factors.
with skill_ranks as (
    select * from (values ('volunteer', 1), ('technician', 2), ('conservator', 3)) as ranks (skill, skill_rank)
),
people as (
    select staff.staff_id, staff.hours_per_week, coalesce(staff.hourly_rate, 0) as hourly_rate, skill_ranks.skill_rank
    from clean.staff
    join skill_ranks using (skill)
),
mean_rates as (
    select
        skill_ranks.skill,
        coalesce(
            sum(people.hourly_rate * people.hours_per_week order by people.staff_id)
                / nullif(sum(people.hours_per_week order by people.staff_id), 0),
            0
        ) as hourly_rate
    from skill_ranks
    left join people on people.skill_rank >= skill_ranks.skill_rank
    group by skill_ranks.skill
),
labour as (
    select
        option_hours.volume_id,
        option_hours.option_no,
        sum(option_hours.minutes / factors.factor order by option_hours.skill) as hours,
        sum(option_hours.minutes / factors.factor * mean_rates.hourly_rate order by option_hours.skill) as staff_cost
    from work.option_hours
    join mean_rates using (skill)
    cross join policy.unit_factors as factors
    where factors.unit_factor = 'minutes_per_hour'
    group by option_hours.volume_id, option_hours.option_no
),
supplies as (
    select volume_id, option_no, sum(cost order by supply, supply_id) as supplies_cost
    from work.option_supplies
    group by volume_id, option_no
)
select
    option_bulk.volume_id,
    option_bulk.option_no,
    coalesce(labour.hours, 0) as hours,
    coalesce(supplies.supplies_cost, 0) as supplies_cost,
    coalesce(labour.staff_cost, 0) as staff_cost
from work.option_bulk
left join labour using (volume_id, option_no)
left join supplies using (volume_id, option_no)
