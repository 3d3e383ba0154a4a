-- rule: No first cut is longer than the guillotine's longest, measured along the untrimmed side the cut runs on.
with figures as (
    select try_cast(value as double) as max_cut_mm
    from published.campaign
    where setting = 'guillotine_max_cut_mm'
)
select
    patterns.pattern_id,
    printf(
        'pattern %s: first cuts of %.1f mm, the guillotine cuts %.1f mm',
        patterns.pattern_id,
        case patterns.first_cut when 'across_width' then sheet_width_mm else sheet_length_mm end,
        max_cut_mm
    ) as what
from published.patterns
cross join figures
where case patterns.first_cut
    when 'across_width' then sheet_width_mm
    when 'across_length' then sheet_length_mm
end > max_cut_mm + 1e-6
    or patterns.first_cut not in ('across_width', 'across_length')
