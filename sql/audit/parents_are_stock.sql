-- rule: A parent sheet has its stock line's size; a roll's has its width and no more length than the bench handles.
-- A parent that is an off-cut has the size of an off-cut of the pattern named, and there are enough of them.
with figures as (
    select value as roll_parent_max_length_mm
    from published.policy
    where key = 'cut.roll_parent_max_length_mm'
),
fresh as (
    select
        patterns.pattern_id,
        printf(
            'pattern %s: parent %.2f x %.2f mm, stock %s is %.2f x %.2f mm',
            patterns.pattern_id, patterns.sheet_width_mm, patterns.sheet_length_mm, patterns.stock_id,
            coalesce(stock.width_mm, 0), coalesce(stock.length_mm, 0)
        ) as what
    from published.patterns
    left join published.stock using (stock_id)
    cross join figures
    where patterns.from_offcut_of is null
        and (
            stock.stock_id is null
            or abs(patterns.sheet_width_mm - stock.width_mm) > 1e-6
            or (stock.form = 'sheet' and abs(patterns.sheet_length_mm - stock.length_mm) > 1e-6)
            or (stock.form = 'roll' and patterns.sheet_length_mm
                > least(stock.length_mm, roll_parent_max_length_mm) + 1e-6)
        )
),
offcut_parents as (
    select
        patterns.pattern_id,
        patterns.from_offcut_of,
        patterns.stock_id,
        patterns.sheets,
        patterns.sheet_width_mm,
        patterns.sheet_length_mm,
        coalesce(
            max(leaving.sheets) filter (leaving.stock_id = patterns.stock_id)
                * count(*) filter (
                    abs(offcuts.along_width_mm - patterns.sheet_width_mm) <= 1e-6
                    and abs(offcuts.along_length_mm - patterns.sheet_length_mm) <= 1e-6
                ),
            0
        ) as offcuts_left
    from published.patterns
    left join published.patterns as leaving on leaving.pattern_id = patterns.from_offcut_of
    left join published.offcuts on offcuts.pattern_id = patterns.from_offcut_of
    where patterns.from_offcut_of is not null
    group by all
),
taken as (
    select
        pattern_id,
        offcuts_left,
        sum(sheets) over (
            partition by from_offcut_of, sheet_width_mm, sheet_length_mm
        ) as offcuts_taken
    from offcut_parents
)
select pattern_id, what from fresh
union all
select
    pattern_id,
    printf('pattern %s: %d off-cuts of its size are taken, %d are left over', pattern_id, offcuts_taken, offcuts_left)
from taken
where offcuts_taken > offcuts_left
