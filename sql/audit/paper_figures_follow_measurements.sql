-- rule: Each paper's effective thickness and bending length follow from its measurements.
-- Bulking thickness where known, else single-sheet thickness; c = (B / (g W))^(1/3), B measured or E t^3 / 12.
-- Source: trade model, section 4 (bending length: Peirce).
with units (thousand, gravity_m_s2) as (
    values (1000.0::double, 9.80665::double)
),
figures as (
    select
        max(value) filter (key = 'paper.elastic_modulus_gpa') as modulus_gpa,
        max(value) filter (key = 'paper.elastic_modulus_density_g_cm3') as modulus_density
    from published.policy
),
computed as (
    select
        papers.paper_id,
        papers.effective_thickness_um,
        papers.bending_length_mm,
        coalesce(papers.bulking_thickness_um, papers.thickness_um) as expected_thickness_um,
        -- stiffness in N m: mN m / thousand, or GPa x um^3 = 1e-9 N m
        pow(
            coalesce(
                papers.bending_stiffness_mnm / thousand,
                modulus_gpa * pow(papers.grammage_gsm / papers.thickness_um / modulus_density, 2)
                    * pow(papers.thickness_um, 3) / 12 / pow(thousand, 3)
            ) / (gravity_m_s2 * papers.grammage_gsm / thousand),
            1.0 / 3
        ) * thousand as expected_length_mm
    from published.papers
    cross join figures
    cross join units
)
select
    paper_id,
    printf(
        '%s: effective thickness %.3f um where %.3f follows, bending length %.3f mm where %.3f follows',
        paper_id, effective_thickness_um, expected_thickness_um, bending_length_mm, expected_length_mm
    ) as what
from computed
where abs(effective_thickness_um - expected_thickness_um) > 1e-6
    or abs(bending_length_mm - expected_length_mm) > 1e-6
