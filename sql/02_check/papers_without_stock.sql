-- One row per paper that no line of Stock sells. Reads work.named_ids, work.seen_stock.
select
    'paper_without_stock' as code,
    'warning' as level,
    named_ids.sheet,
    named_ids.row_no,
    named_ids.field,
    '' as volume_id,
    'paper ' || named_ids.named_id || ' has no line in Stock; nothing can be cut from it' as message,
    'add its sheets or rolls to Stock' as action
from work.named_ids
anti join work.seen_stock on seen_stock.paper_id = named_ids.named_id
where named_ids.is_own
    and named_ids.field = 'paper_id'
    and exists (select 1 from work.seen_stock)
