-- rule: Every pattern is cut from one parent sheet at least and has pieces; its stated use is the pieces' share.
with areas as (
    select pattern_id, sum(along_width_mm * along_length_mm) as area_mm2
    from published.pattern_pieces
    group by pattern_id
)
select
    pattern_id,
    printf(
        'pattern %s: %d parent sheets, %.3f per cent used are stated, %.3f per cent follow',
        pattern_id, coalesce(patterns.sheets, 0), coalesce(patterns.used_pct, 0),
        coalesce(100 * areas.area_mm2 / (patterns.sheet_width_mm * patterns.sheet_length_mm), 0)
    ) as what
from published.patterns
full join areas using (pattern_id)
where coalesce(patterns.sheets, 0) < 1
    or areas.area_mm2 is null
    or abs(patterns.used_pct - 100 * areas.area_mm2 / (patterns.sheet_width_mm * patterns.sheet_length_mm)) > 1e-6
