-- Treatments other than fire are records too. SQLite cannot widen a CHECK, so that
-- the table is made anew with the same rows and columns: the seals over them hold.
CREATE TABLE burn_version_new (
    row           INTEGER PRIMARY KEY,
    burn          INTEGER NOT NULL CHECK (burn > 0),
    version       INTEGER NOT NULL CHECK (version > 0),
    change        INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    removed       INTEGER NOT NULL CHECK (removed IN (0, 1)),
    unit          TEXT    NOT NULL REFERENCES unit (name),
    first_on      TEXT    NOT NULL CHECK (first_on IS date(first_on)),
    last_on       TEXT    NOT NULL CHECK (last_on IS date(last_on) AND last_on >= first_on),
    kind          TEXT    NOT NULL CHECK (kind IN ('prescribed', 'wildfire', 'attempt', 'mowing', 'disking', 'herbicide', 'grazing')),
    acres         REAL             CHECK (acres >= 0),
    purpose       TEXT    NOT NULL,
    ignition      TEXT    NOT NULL,
    start_time    TEXT    NOT NULL,
    end_time      TEXT    NOT NULL,
    readings      TEXT    NOT NULL CHECK (json_type(readings) = 'array'),
    fuel_moisture TEXT    NOT NULL,
    soil_moisture TEXT    NOT NULL,
    crew          TEXT    NOT NULL,
    permit        TEXT    NOT NULL,
    notified      TEXT    NOT NULL CHECK (json_type(notified) = 'array'),
    consumed      REAL             CHECK (consumed BETWEEN 0 AND 1),
    top_killed    REAL             CHECK (top_killed BETWEEN 0 AND 1),
    escapes       TEXT    NOT NULL,
    mop_up_end    TEXT    NOT NULL,
    files         TEXT    NOT NULL CHECK (json_type(files) = 'array'),
    notes         TEXT    NOT NULL,
    UNIQUE (burn, version)
) STRICT;
INSERT INTO burn_version_new SELECT * FROM burn_version;
DROP TABLE burn_version;
ALTER TABLE burn_version_new RENAME TO burn_version;
CREATE INDEX burn_of_unit   ON burn_version (unit, first_on);
CREATE INDEX burn_of_change ON burn_version (change);
CREATE TRIGGER burn_version_stays   BEFORE UPDATE ON burn_version BEGIN SELECT RAISE(ABORT, 'a version is never overwritten'); END;
CREATE TRIGGER burn_version_remains BEFORE DELETE ON burn_version BEGIN SELECT RAISE(ABORT, 'a version is never deleted'); END;
