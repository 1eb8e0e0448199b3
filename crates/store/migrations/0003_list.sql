-- The list, its pages by stage and the search walk along one of these two
-- indexes and open the rows only of what they show. PostgreSQL takes entries
-- up to 2.7 kB: 500 signs of at most 4 bytes fit.
UPDATE jobs SET search = substr(search, 1, 500) WHERE length(search) > 500;
DROP INDEX jobs_by_change;
DROP INDEX jobs_by_stage;
CREATE INDEX jobs_by_change ON jobs (shop, changed_ms, id, search);
CREATE INDEX jobs_by_stage ON jobs (shop, stage, changed_ms, id, search);
