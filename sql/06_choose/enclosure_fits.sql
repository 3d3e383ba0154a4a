-- One row per volume that gets a new enclosure with the chosen option; unfunded ones wait for money, undated.
-- Reads work.choices, work.option_enclosures.
select
    option_enclosures.volume_id,
    option_enclosures.enclosure_id,
    option_enclosures.inner_width_mm,
    option_enclosures.inner_height_mm,
    option_enclosures.inner_depth_mm,
    option_enclosures.price,
    option_enclosures.shelved,
    choices.is_funded
from work.option_enclosures
join work.choices using (volume_id, option_no)
