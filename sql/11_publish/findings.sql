-- One row per finding: those of the inventory, of returns, decisions that the plan could not follow, volumes whose content
-- was guessed, leaves no stock gives, stock without a price that runs short. Reads clean.findings, work.return_findings, work.decision_outcomes, work.group_needs,
-- work.impossible_leaves, work.material_needs, clean.stock.
select
    code,
    level,
    sheet,
    nullif(cell, '') as cell,
    nullif(volume_id, '') as volume_id,
    message,
    action
from clean.findings
union all by name
select code, level, sheet, nullif(cell, '') as cell, nullif(volume_id, '') as volume_id, message, action
from work.return_findings
union all by name
select
    'decision_not_followed' as code,
    'warning' as level,
    sheet,
    cell,
    volume_id,
    'the decision could not be followed: ' || outcome as message,
    action
from work.decision_outcomes
where not is_followed
union all by name
select
    'content_unknown' as code,
    'note' as level,
    'Volumes' as sheet,
    null as cell,
    volume_id,
    cast(sum(count) as bigint) || ' openings have an unknown page and the volume no content words: photographs are taken '
    || 'as possible, and only paper that passed the photographic activity test is planned there' as message,
    'note what the volume holds in its contents' as action
from work.group_needs
join work.opening_groups using (volume_id, group_no)
where is_content_guessed
group by volume_id
union all by name
select code, level, sheet, null as cell, nullif(volume_id, '') as volume_id, message, action
from work.impossible_leaves
union all by name
select
    'free_stock_short' as code,
    'warning' as level,
    'Stock' as sheet,
    null as cell,
    null as volume_id,
    printf(
        'the plan takes %g of stock %s, which is listed at no price, and %g are on hand',
        material_needs.needed, material_needs.stock_id, material_needs.on_hand
    ) as message,
    'if no more can be had (a remnant, a gift), give it the price of the sheet it replaces, or leave it out' as action
from work.material_needs
join clean.stock using (stock_id)
where stock.pack_price = 0 and material_needs.to_buy > 0
