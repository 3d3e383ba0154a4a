-- rule: The stated number of cut sizes of each paper is the number there is, and no smaller than its proven bound.
with counted as (
    select paper_id, count(*) as cut_sizes
    from published.cut_sizes
    group by paper_id
)
select
    paper_id,
    printf(
        '%s: %d cut sizes are stated, %d are there, at least %d are needed',
        paper_id, coalesce(cut_size_bounds.cut_sizes, 0), coalesce(counted.cut_sizes, 0),
        coalesce(cut_size_bounds.lower_bound, 0)
    ) as what
from published.cut_size_bounds
full join counted using (paper_id)
where coalesce(cut_size_bounds.cut_sizes, 0) <> coalesce(counted.cut_sizes, 0)
    or cut_size_bounds.lower_bound > cut_size_bounds.cut_sizes
