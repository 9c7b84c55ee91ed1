-- What is kept of practice beside takes: attempts that were logged by ear, trials, sheets, and what was done of them.
-- Documents are UTF-8, deflated as zlib does. All of it goes with its player, and with the horn that it was played on.

ALTER TABLE take_slurs ADD COLUMN hold_s REAL CHECK (hold_s >= 0);

-- The levels of a slur's two notes are looked up with it.
CREATE INDEX take_notes_by_played ON take_notes (take_id, played, asked, level_db);

CREATE TABLE trials (
    id TEXT PRIMARY KEY CHECK (id <> ''),
    player_id TEXT NOT NULL REFERENCES players (id) ON DELETE CASCADE,
    horn_id TEXT REFERENCES horns (id) ON DELETE CASCADE,
    model TEXT NOT NULL CHECK (model <> ''),
    schema INTEGER NOT NULL CHECK (schema >= 1),
    document BLOB NOT NULL,
    made_at TEXT NOT NULL,
    changed_at TEXT NOT NULL CHECK (changed_at >= made_at),
    ended_at TEXT,
    deleted_at TEXT
) STRICT;

CREATE INDEX trials_of_player ON trials (player_id, made_at, id);
CREATE INDEX trials_of_horn ON trials (horn_id);

-- A take holds one block of one trial; when either is removed for good, only this row goes with it.
CREATE TABLE trial_takes (
    take_id TEXT PRIMARY KEY REFERENCES takes (id) ON DELETE CASCADE,
    trial_id TEXT NOT NULL REFERENCES trials (id) ON DELETE CASCADE,
    block INTEGER NOT NULL CHECK (block >= 0)
) STRICT, WITHOUT ROWID;

CREATE INDEX trial_takes_of_trial ON trial_takes (trial_id, block);

CREATE TABLE sheets (
    id TEXT PRIMARY KEY CHECK (id <> ''),
    player_id TEXT NOT NULL REFERENCES players (id) ON DELETE CASCADE,
    horn_id TEXT REFERENCES horns (id) ON DELETE CASCADE,
    model TEXT NOT NULL CHECK (model <> ''),
    day TEXT NOT NULL,
    schema INTEGER NOT NULL CHECK (schema >= 1),
    document BLOB NOT NULL,
    made_at TEXT NOT NULL,
    changed_at TEXT NOT NULL CHECK (changed_at >= made_at),
    deleted_at TEXT
) STRICT;

CREATE INDEX sheets_of_player ON sheets (player_id, day, made_at, id);
CREATE INDEX sheets_of_horn ON sheets (horn_id);

-- Every word on an item of a sheet; the last one counts.
CREATE TABLE sheet_ticks (
    sheet_id TEXT NOT NULL REFERENCES sheets (id) ON DELETE CASCADE,
    item INTEGER NOT NULL CHECK (item >= 0),
    at TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('done', 'skipped')),
    PRIMARY KEY (sheet_id, item, at)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER sheet_ticks_stay BEFORE UPDATE ON sheet_ticks
BEGIN
    SELECT RAISE(ABORT, 'history is never changed');
END;

CREATE TABLE attempts (
    id TEXT PRIMARY KEY CHECK (id <> ''),
    player_id TEXT NOT NULL REFERENCES players (id) ON DELETE CASCADE,
    horn_id TEXT REFERENCES horns (id) ON DELETE CASCADE,
    model TEXT NOT NULL CHECK (model <> ''),
    -- Four words on the part, or none of them.
    file TEXT,
    fingerprint TEXT CHECK (fingerprint <> ''),
    title TEXT,
    part_name TEXT,
    label TEXT NOT NULL,
    written_1 TEXT NOT NULL CHECK (written_1 <> ''),
    sounding_1 TEXT NOT NULL CHECK (sounding_1 <> ''),
    midi_1 INTEGER NOT NULL,
    fingering_1 TEXT NOT NULL CHECK (fingering_1 <> ''),
    partial_1 INTEGER NOT NULL CHECK (partial_1 >= 1),
    written_2 TEXT NOT NULL CHECK (written_2 <> ''),
    sounding_2 TEXT NOT NULL CHECK (sounding_2 <> ''),
    midi_2 INTEGER NOT NULL,
    fingering_2 TEXT NOT NULL CHECK (fingering_2 <> ''),
    partial_2 INTEGER NOT NULL CHECK (partial_2 >= 1),
    technique TEXT NOT NULL CHECK (technique <> ''),
    dynamic REAL NOT NULL,
    tempo_qpm REAL NOT NULL CHECK (tempo_qpm > 0),
    time_s REAL NOT NULL CHECK (time_s >= 0),
    hold_s REAL NOT NULL CHECK (hold_s >= 0),
    heard TEXT NOT NULL CHECK (heard IN ('good', 'rough', 'missed')),
    played_on TEXT NOT NULL,
    trial_id TEXT REFERENCES trials (id) ON DELETE CASCADE,
    arm TEXT NOT NULL CHECK (arm = '' OR trial_id IS NOT NULL),
    sheet_id TEXT REFERENCES sheets (id) ON DELETE CASCADE,
    made_at TEXT NOT NULL,
    place INTEGER NOT NULL CHECK (place >= 0),
    CHECK ((file IS NULL) = (fingerprint IS NULL) AND (file IS NULL) = (title IS NULL)),
    CHECK ((file IS NULL) = (part_name IS NULL))
) STRICT;

CREATE INDEX attempts_of_player ON attempts (player_id, made_at, place, id);
CREATE INDEX attempts_of_horn ON attempts (horn_id);
CREATE INDEX attempts_of_trial ON attempts (trial_id);
CREATE INDEX attempts_of_sheet ON attempts (sheet_id);

CREATE TRIGGER attempts_stay BEFORE UPDATE ON attempts
BEGIN
    SELECT RAISE(ABORT, 'an attempt is never changed');
END;

CREATE TABLE attempt_withdrawals (
    attempt_id TEXT NOT NULL REFERENCES attempts (id) ON DELETE CASCADE,
    at TEXT NOT NULL,
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    PRIMARY KEY (attempt_id, at)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER attempt_withdrawals_stay BEFORE UPDATE ON attempt_withdrawals
BEGIN
    SELECT RAISE(ABORT, 'history is never changed');
END;
