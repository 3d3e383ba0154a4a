-- rule: Every identifier in the plan names a row: volumes, groups, papers, sizes, stock, patterns, people, tasks.
with faults as (
    select 'opening_groups' as source, 'volume ' || volume_id as id
    from published.opening_groups anti join published.volumes using (volume_id)
    union all
    select 'interleaves', 'group ' || group_no || ' of volume ' || volume_id
    from published.interleaves anti join published.opening_groups using (volume_id, group_no)
    union all
    select 'interleaves', 'paper ' || paper_id from published.interleaves anti join published.papers using (paper_id)
    union all
    select 'stock', 'paper ' || paper_id from published.stock anti join published.papers using (paper_id)
    union all
    select 'cut_sizes', 'paper ' || paper_id from published.cut_sizes anti join published.papers using (paper_id)
    union all
    select 'cut_size_volumes', 'cut size ' || cut_size_id
    from published.cut_size_volumes anti join published.cut_sizes using (cut_size_id)
    union all
    select 'cut_size_volumes', 'volume ' || volume_id
    from published.cut_size_volumes anti join published.volumes using (volume_id)
    union all
    select 'patterns', 'stock ' || stock_id from published.patterns anti join published.stock using (stock_id)
    union all
    select 'pattern_pieces', 'pattern ' || pattern_id
    from published.pattern_pieces anti join published.patterns using (pattern_id)
    union all
    select 'pattern_pieces', 'cut size ' || cut_size_id
    from published.pattern_pieces anti join published.cut_sizes using (cut_size_id)
    union all
    select 'offcuts', 'pattern ' || pattern_id from published.offcuts anti join published.patterns using (pattern_id)
    union all
    select 'material_totals', 'stock ' || stock_id
    from published.material_totals anti join published.stock using (stock_id)
    union all
    select 'enclosures', 'volume ' || volume_id
    from published.enclosures anti join published.volumes using (volume_id)
    union all
    select 'enclosures', 'enclosure ' || enclosure_id
    from published.enclosures anti join published.enclosure_stock using (enclosure_id)
    where enclosure_id is not null
    union all
    select 'tasks', 'volume ' || volume_id
    from published.tasks anti join published.volumes using (volume_id) where volume_id is not null
    union all
    select 'tasks', 'pattern ' || pattern_id
    from published.tasks anti join published.patterns using (pattern_id) where pattern_id is not null
    union all
    select 'tasks', 'person ' || staff_id
    from published.tasks anti join published.staff using (staff_id) where staff_id is not null
    union all
    select 'task_order', 'task ' || before_task_id
    from published.task_order anti join published.tasks on tasks.task_id = task_order.before_task_id
    union all
    select 'task_order', 'task ' || after_task_id
    from published.task_order anti join published.tasks on tasks.task_id = task_order.after_task_id
    union all
    select 'staff_weeks', 'person ' || staff_id
    from published.staff_weeks anti join published.staff using (staff_id)
    union all
    select 'options', 'volume ' || volume_id from published.options anti join published.volumes using (volume_id)
)
select source, id, source || ' names ' || id || ', which is not there' as what
from faults
