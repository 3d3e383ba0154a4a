-- rule: The material needed is the sum over the patterns: parent sheets, or the length cut off as a part of a roll.
with needs as (
    select
        patterns.stock_id,
        sum(case stock.form
            when 'roll' then patterns.sheets * patterns.sheet_length_mm / stock.length_mm
            else patterns.sheets
        end) as needed
    from published.patterns
    join published.stock using (stock_id)
    where patterns.from_offcut_of is null
    group by patterns.stock_id
)
select
    stock_id,
    printf(
        'stock %s: %.6f are stated as needed, its patterns take %.6f',
        stock_id, coalesce(material_totals.needed, 0), coalesce(needs.needed, 0)
    ) as what
from published.material_totals
full join needs using (stock_id)
where abs(coalesce(material_totals.needed, 0) - coalesce(needs.needed, 0)) > 1e-6
    or material_totals.stock_id is null
