-- One row per paper, with what follows from its measurements. Reads clean.papers, work.paper_properties.
select
    papers.paper_id,
    papers.description,
    papers.buffer,
    papers.adsorbent,
    papers.pat,
    papers.sulphur_free,
    papers.lignin_free,
    papers.ph,
    papers.surface,
    papers.glassine,
    papers.grammage_gsm,
    papers.thickness_um,
    papers.bulking_thickness_um,
    papers.bending_stiffness_mnm,
    papers.grain_rule,
    paper_properties.effective_thickness_um,
    paper_properties.bending_length_mm
from clean.papers
join work.paper_properties using (paper_id)
