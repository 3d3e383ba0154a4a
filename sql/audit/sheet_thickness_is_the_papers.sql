-- rule: The thickness of a planned sheet is its paper's effective thickness.
select
    interleaves.volume_id,
    interleaves.group_no,
    interleaves.paper_id,
    printf(
        '%s group %d: a sheet of %s is put down with %.3f um, the paper has %.3f um',
        interleaves.volume_id, interleaves.group_no, interleaves.paper_id, interleaves.thickness_um,
        coalesce(papers.effective_thickness_um, 0)
    ) as what
from published.interleaves
left join published.papers using (paper_id)
where abs(interleaves.thickness_um - coalesce(papers.effective_thickness_um, 0)) > 1e-6
