-- One row per paper: effective thickness, bending length (Peirce), least price of a square metre.
-- c = (B / (g x W))^(1/3), B measured or E x t^3 / 12 with E = modulus x (density / its density)^2
-- (trade model, section 4: E is judgement). B in N m per m of width, W in kg/m2, t in m, c shown in mm.
-- Reads clean.papers, clean.stock, policy.
with figures as (
    select
        max(value) filter (key = 'paper.elastic_modulus_gpa') as modulus_gpa,
        max(value) filter (key = 'paper.elastic_modulus_density_g_cm3') as modulus_density
    from policy.figures
),
factors as (
    select
        max(factor) filter (unit_factor = 'um_per_mm') as thousand,
        max(factor) filter (unit_factor = 'mm2_per_m2') as mm2_per_m2,
        max(factor) filter (unit_factor = 'standard_gravity_m_s2') as gravity
    from policy.unit_factors
),
stiffness as (
    select
        papers.paper_id,
        -- GPa x um^3 = 1e9 Pa x 1e-18 m^3 = 1e-9 N m; mN m / thousand = N m
        coalesce(
            papers.bending_stiffness_mnm / thousand,
            modulus_gpa * pow(papers.grammage_gsm / papers.thickness_um / modulus_density, 2)
                * pow(papers.thickness_um, 3) / 12 / pow(thousand, 3)
        ) as stiffness_nm,
        papers.grammage_gsm / thousand as mass_kg_m2
    from clean.papers
    cross join figures
    cross join factors
),
prices as (
    select
        paper_id,
        min(pack_price / pack_quantity / (width_mm * length_mm / mm2_per_m2)) as price_per_m2
    from clean.stock
    cross join factors
    group by paper_id
)
select
    papers.paper_id,
    coalesce(papers.bulking_thickness_um, papers.thickness_um) as effective_thickness_um,
    pow(stiffness_nm / (gravity * mass_kg_m2), 1.0 / 3) * thousand as bending_length_mm,
    prices.price_per_m2
from clean.papers
join stiffness using (paper_id)
cross join factors
left join prices using (paper_id)
