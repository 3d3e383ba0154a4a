-- rule: No parent sheet is cut into more different sizes than the campaign allows.
with figures as (
    select try_cast(value as bigint) as max_sizes
    from published.campaign
    where setting = 'max_sizes_per_sheet'
)
select
    pattern_pieces.pattern_id,
    printf(
        'pattern %s has %d sizes, %d are allowed',
        pattern_pieces.pattern_id, count(distinct pattern_pieces.cut_size_id), any_value(max_sizes)
    ) as what
from published.pattern_pieces
cross join figures
group by pattern_pieces.pattern_id
having count(distinct pattern_pieces.cut_size_id) > any_value(max_sizes)
