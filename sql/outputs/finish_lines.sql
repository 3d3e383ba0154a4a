-- One row for all dated work, then the rates and then the people, those first that move the end of all work most.
-- Reads published.finish_chances. For the lab: it names people.
with places (chance_of, place) as (
    values ('campaign', 1), ('task', 2), ('person', 3)
)
select finish_chances.*
from published.finish_chances as finish_chances
join places using (chance_of)
order by places.place, finish_chances.decides_no, finish_chances.subject
