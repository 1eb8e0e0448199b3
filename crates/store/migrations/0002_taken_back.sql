-- Undo asks whether an event was taken back already.
CREATE INDEX events_taken_back ON events (shop, undoes) WHERE undoes IS NOT NULL;
