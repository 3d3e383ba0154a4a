-- rule: No volume that gets sheets ends wider open at the fore edge than its binding's wedge limit.
select
    volume_id,
    printf(
        '%s ends at %.4f deg, its binding allows %.4f deg', volume_id, wedge_after_deg, coalesce(wedge_limit_deg, 0)
    ) as what
from published.volumes
where sheets > 0 and wedge_after_deg > coalesce(wedge_limit_deg, 0) + 1e-6
