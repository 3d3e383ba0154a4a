-- One row per volume that may be planned and option: estimated hours and cost, and which one the plan follows.
-- Reads work.options, work.option_costs, work.choices.
select
    options.volume_id,
    options.option_no,
    options.sheets,
    options.benefit,
    option_costs.hours,
    option_costs.supplies_cost + option_costs.staff_cost as cost,
    options.option_no = choices.option_no as chosen
from work.options
join work.option_costs using (volume_id, option_no)
join work.choices using (volume_id)
