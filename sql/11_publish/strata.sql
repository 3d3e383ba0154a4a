-- One row per stratum of a sampled survey. Reads clean.strata.
select stratum, volumes_in_all
from clean.strata
