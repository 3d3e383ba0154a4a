-- One row for all dated work, then the rates, those first that move the end of all work most; no person is named.
-- Reads published.finish_chances.
select *
from published.finish_chances
where chance_of in ('campaign', 'task')
order by chance_of, decides_no, subject
