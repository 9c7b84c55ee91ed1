-- Takes: recordings of a part, and what was measured in them.
-- A figure has four columns: its value, its interval, or in their place the word that says what hides it.
-- The recordings are files beside the store; a name stands in sounds_to_remove from the moment at which the player
-- gave a recording up until its file is gone, so that neither a crash nor another program can bring it to nothing.

CREATE TABLE takes (
    id TEXT PRIMARY KEY CHECK (id <> ''),
    player_id TEXT NOT NULL REFERENCES players (id) ON DELETE CASCADE,
    horn_id TEXT REFERENCES horns (id) ON DELETE CASCADE,
    model TEXT NOT NULL CHECK (model <> ''),
    tuning TEXT,
    file TEXT NOT NULL,
    fingerprint TEXT NOT NULL CHECK (fingerprint <> ''),
    title TEXT NOT NULL,
    part_name TEXT NOT NULL,
    first_asked INTEGER NOT NULL CHECK (first_asked >= 0),
    last_asked INTEGER NOT NULL CHECK (last_asked >= first_asked),
    bars TEXT NOT NULL,
    reading TEXT NOT NULL,
    dynamic TEXT,
    tempo_qpm REAL CHECK (tempo_qpm > 0),
    a4_hz REAL NOT NULL CHECK (a4_hz > 0),
    temperature_c REAL,
    played_on TEXT NOT NULL,
    note TEXT NOT NULL,
    keeps_sound INTEGER NOT NULL CHECK (keeps_sound IN (0, 1)),
    made_at TEXT NOT NULL,
    changed_at TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('received', 'measured', 'failed')),
    failure TEXT NOT NULL CHECK ((failure <> '') = (state = 'failed')),
    sound_name TEXT UNIQUE,
    sound_bytes INTEGER CHECK ((sound_bytes IS NULL) = (sound_name IS NULL) AND sound_bytes > 0),
    sound_sha256 TEXT CHECK ((sound_sha256 IS NULL) = (sound_name IS NULL)),
    sound_called TEXT CHECK ((sound_called IS NULL) = (sound_name IS NULL)),
    method TEXT NOT NULL CHECK ((method <> '') = (state = 'measured')),
    length_s REAL CHECK ((length_s IS NOT NULL) = (state = 'measured')),
    deleted_at TEXT,
    -- What is not measured yet still has its sound.
    CHECK (state = 'measured' OR sound_name IS NOT NULL)
) STRICT;

CREATE INDEX takes_of_player ON takes (player_id, made_at, id);
CREATE INDEX takes_of_horn ON takes (horn_id);

CREATE TABLE sounds_to_remove (
    name TEXT PRIMARY KEY CHECK (name <> '')
) STRICT, WITHOUT ROWID;

CREATE TRIGGER sound_goes_with_take AFTER DELETE ON takes WHEN OLD.sound_name IS NOT NULL
BEGIN
    INSERT OR IGNORE INTO sounds_to_remove (name) VALUES (OLD.sound_name);
END;

CREATE TRIGGER sound_is_given_up AFTER UPDATE OF sound_name ON takes
WHEN OLD.sound_name IS NOT NULL AND NEW.sound_name IS NOT OLD.sound_name
BEGIN
    INSERT OR IGNORE INTO sounds_to_remove (name) VALUES (OLD.sound_name);
END;

CREATE TRIGGER sound_is_wanted_again AFTER UPDATE OF sound_name ON takes WHEN NEW.sound_name IS NOT NULL
BEGIN
    DELETE FROM sounds_to_remove WHERE name = NEW.sound_name;
END;

CREATE TRIGGER sound_is_wanted AFTER INSERT ON takes WHEN NEW.sound_name IS NOT NULL
BEGIN
    DELETE FROM sounds_to_remove WHERE name = NEW.sound_name;
END;

CREATE TABLE take_documents (
    take_id TEXT PRIMARY KEY REFERENCES takes (id) ON DELETE CASCADE,
    schema INTEGER NOT NULL CHECK (schema >= 1),
    -- UTF-8, deflated as zlib does: a tenth of the room, in the store and in each of its backups.
    document BLOB NOT NULL
) STRICT;

CREATE TABLE take_notes (
    take_id TEXT NOT NULL REFERENCES takes (id) ON DELETE CASCADE,
    place INTEGER NOT NULL CHECK (place >= 0),
    asked INTEGER NOT NULL CHECK (asked >= 0),
    label TEXT NOT NULL,
    written TEXT NOT NULL CHECK (written <> ''),
    sounding TEXT NOT NULL CHECK (sounding <> ''),
    midi INTEGER NOT NULL,
    fingering TEXT NOT NULL CHECK (fingering <> ''),
    partial INTEGER NOT NULL CHECK (partial >= 1),
    technique TEXT,
    dynamic REAL NOT NULL,
    played_as TEXT NOT NULL CHECK (played_as <> ''),
    onset_s REAL NOT NULL,
    offset_s REAL NOT NULL CHECK (offset_s >= onset_s),
    played INTEGER NOT NULL CHECK (played >= 0),
    steady_from_s REAL NOT NULL,
    steady_to_s REAL NOT NULL,
    cents REAL,
    cents_low REAL,
    cents_high REAL,
    cents_hidden TEXT,
    drift_cents_s REAL,
    drift_cents_s_low REAL,
    drift_cents_s_high REAL,
    drift_cents_s_hidden TEXT,
    wander_cents REAL,
    wander_cents_low REAL,
    wander_cents_high REAL,
    wander_cents_hidden TEXT,
    scoop_cents REAL,
    scoop_cents_low REAL,
    scoop_cents_high REAL,
    scoop_cents_hidden TEXT,
    vibrato_hz REAL,
    vibrato_hz_low REAL,
    vibrato_hz_high REAL,
    vibrato_cents REAL,
    vibrato_cents_low REAL,
    vibrato_cents_high REAL,
    level_db REAL NOT NULL,
    brightness REAL,
    brightness_low REAL,
    brightness_high REAL,
    brightness_hidden TEXT,
    PRIMARY KEY (take_id, place),
    CHECK ((cents_hidden IS NULL) = (cents IS NOT NULL)),
    CHECK ((cents IS NULL) = (cents_low IS NULL) AND (cents IS NULL) = (cents_high IS NULL)),
    CHECK ((drift_cents_s_hidden IS NULL) = (drift_cents_s IS NOT NULL)),
    CHECK ((drift_cents_s IS NULL) = (drift_cents_s_low IS NULL) AND (drift_cents_s IS NULL) = (drift_cents_s_high IS NULL)),
    CHECK ((wander_cents_hidden IS NULL) = (wander_cents IS NOT NULL)),
    CHECK ((wander_cents IS NULL) = (wander_cents_low IS NULL) AND (wander_cents IS NULL) = (wander_cents_high IS NULL)),
    CHECK ((scoop_cents_hidden IS NULL) = (scoop_cents IS NOT NULL)),
    CHECK ((scoop_cents IS NULL) = (scoop_cents_low IS NULL) AND (scoop_cents IS NULL) = (scoop_cents_high IS NULL)),
    CHECK ((brightness_hidden IS NULL) = (brightness IS NOT NULL)),
    CHECK ((brightness IS NULL) = (brightness_low IS NULL) AND (brightness IS NULL) = (brightness_high IS NULL)),
    CHECK ((vibrato_hz IS NULL) = (vibrato_cents IS NULL))
) STRICT;

CREATE TABLE take_slurs (
    take_id TEXT NOT NULL REFERENCES takes (id) ON DELETE CASCADE,
    place INTEGER NOT NULL CHECK (place >= 0),
    asked_1 INTEGER NOT NULL CHECK (asked_1 >= 0),
    asked_2 INTEGER NOT NULL CHECK (asked_2 >= 0),
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
    played_1 INTEGER NOT NULL CHECK (played_1 >= 0),
    played_2 INTEGER NOT NULL CHECK (played_2 >= 0),
    time_ms REAL,
    time_ms_low REAL,
    time_ms_high REAL,
    time_ms_hidden TEXT,
    dip_db REAL,
    dip_db_low REAL,
    dip_db_high REAL,
    dip_db_hidden TEXT,
    dip_ms REAL,
    dip_ms_low REAL,
    dip_ms_high REAL,
    dip_ms_hidden TEXT,
    silence_ms REAL,
    silence_ms_low REAL,
    silence_ms_high REAL,
    silence_ms_hidden TEXT,
    scoop_cents REAL,
    scoop_cents_low REAL,
    scoop_cents_high REAL,
    scoop_cents_hidden TEXT,
    overshoot_cents REAL,
    overshoot_cents_low REAL,
    overshoot_cents_high REAL,
    overshoot_cents_hidden TEXT,
    path TEXT NOT NULL CHECK (path <> ''),
    foreign_hz REAL,
    foreign_partial INTEGER,
    foreign_ms REAL,
    foreign_ms_low REAL,
    foreign_ms_high REAL,
    outcome TEXT NOT NULL CHECK (outcome <> ''),
    outcome_chance REAL NOT NULL CHECK (outcome_chance BETWEEN 0 AND 1),
    quality REAL,
    quality_low REAL,
    quality_high REAL,
    quality_hidden TEXT,
    reasons TEXT NOT NULL,
    PRIMARY KEY (take_id, place),
    CHECK ((time_ms_hidden IS NULL) = (time_ms IS NOT NULL)),
    CHECK ((time_ms IS NULL) = (time_ms_low IS NULL) AND (time_ms IS NULL) = (time_ms_high IS NULL)),
    CHECK ((dip_db_hidden IS NULL) = (dip_db IS NOT NULL)),
    CHECK ((dip_db IS NULL) = (dip_db_low IS NULL) AND (dip_db IS NULL) = (dip_db_high IS NULL)),
    CHECK ((dip_ms_hidden IS NULL) = (dip_ms IS NOT NULL)),
    CHECK ((dip_ms IS NULL) = (dip_ms_low IS NULL) AND (dip_ms IS NULL) = (dip_ms_high IS NULL)),
    CHECK ((silence_ms_hidden IS NULL) = (silence_ms IS NOT NULL)),
    CHECK ((silence_ms IS NULL) = (silence_ms_low IS NULL) AND (silence_ms IS NULL) = (silence_ms_high IS NULL)),
    CHECK ((scoop_cents_hidden IS NULL) = (scoop_cents IS NOT NULL)),
    CHECK ((scoop_cents IS NULL) = (scoop_cents_low IS NULL) AND (scoop_cents IS NULL) = (scoop_cents_high IS NULL)),
    CHECK ((overshoot_cents_hidden IS NULL) = (overshoot_cents IS NOT NULL)),
    CHECK ((overshoot_cents IS NULL) = (overshoot_cents_low IS NULL) AND (overshoot_cents IS NULL) = (overshoot_cents_high IS NULL)),
    CHECK ((quality_hidden IS NULL) = (quality IS NOT NULL)),
    CHECK ((quality IS NULL) = (quality_low IS NULL) AND (quality IS NULL) = (quality_high IS NULL)),
    CHECK ((foreign_hz IS NULL) = (foreign_ms IS NULL))
) STRICT;

CREATE INDEX take_slurs_by_pair ON take_slurs (midi_1, midi_2);

-- Which readings of a horn came from which take; a reading itself is never changed.
CREATE TABLE take_tones (
    reading_id TEXT PRIMARY KEY REFERENCES readings (id) ON DELETE CASCADE,
    take_id TEXT NOT NULL REFERENCES takes (id) ON DELETE CASCADE,
    asked INTEGER NOT NULL CHECK (asked >= 0)
) STRICT, WITHOUT ROWID;

CREATE INDEX take_tones_of_take ON take_tones (take_id);
