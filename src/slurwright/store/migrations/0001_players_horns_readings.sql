-- Players, their horns, and every tone measured on them.
-- Times are UTC, ISO 8601 with microseconds, so that their order as text is their order in time.
-- Deleting hides a row until it is purged; readings are added, withdrawn and restored, never changed.

CREATE TABLE players (
    id TEXT PRIMARY KEY CHECK (id <> ''),
    name TEXT NOT NULL CHECK (name <> ''),
    created_at TEXT NOT NULL,
    changed_at TEXT NOT NULL,
    deleted_at TEXT
) STRICT;

CREATE UNIQUE INDEX players_by_name ON players (name) WHERE deleted_at IS NULL;

CREATE TABLE horns (
    id TEXT PRIMARY KEY CHECK (id <> ''),
    player_id TEXT NOT NULL REFERENCES players (id) ON DELETE CASCADE,
    name TEXT NOT NULL CHECK (name <> ''),
    model TEXT NOT NULL CHECK (model <> ''),
    tuning TEXT,
    notes TEXT NOT NULL,
    created_at TEXT NOT NULL,
    changed_at TEXT NOT NULL,
    deleted_at TEXT
) STRICT;

CREATE UNIQUE INDEX horns_by_name ON horns (player_id, name) WHERE deleted_at IS NULL;

CREATE TABLE readings (
    id TEXT PRIMARY KEY CHECK (id <> ''),
    horn_id TEXT NOT NULL REFERENCES horns (id) ON DELETE CASCADE,
    added_at TEXT NOT NULL,
    place INTEGER NOT NULL CHECK (place >= 0),
    sounding TEXT NOT NULL CHECK (sounding <> ''),
    written TEXT,
    fingering TEXT NOT NULL CHECK (fingering <> ''),
    partial INTEGER NOT NULL CHECK (partial >= 1),
    cents REAL NOT NULL,
    sd_cents REAL NOT NULL CHECK (sd_cents >= 0),
    session TEXT NOT NULL CHECK (session <> ''),
    played_on TEXT NOT NULL,
    dynamic REAL NOT NULL,
    temperature_c REAL,
    source TEXT NOT NULL CHECK (source IN ('typed', 'csv', 'take')),
    note TEXT NOT NULL
) STRICT;

CREATE INDEX readings_of_horn ON readings (horn_id, added_at, place, id);

CREATE TRIGGER readings_stay BEFORE UPDATE ON readings
BEGIN
    SELECT RAISE(ABORT, 'a reading is never changed');
END;

CREATE TABLE withdrawals (
    reading_id TEXT NOT NULL REFERENCES readings (id) ON DELETE CASCADE,
    at TEXT NOT NULL,
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    PRIMARY KEY (reading_id, at)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER withdrawals_stay BEFORE UPDATE ON withdrawals
BEGIN
    SELECT RAISE(ABORT, 'history is never changed');
END;
