-- Every change of the property file has one row here. Versions name the change
-- that wrote them; nothing is ever overwritten or deleted.
CREATE TABLE change (
    id      INTEGER PRIMARY KEY CHECK (id > 0),
    made_at TEXT    NOT NULL CHECK (made_at IS strftime('%Y-%m-%dT%H:%M:%SZ', made_at)),
    reason  TEXT    NOT NULL CHECK (reason <> ''),
    -- over the change before it and every row that this change wrote
    sha256  TEXT    NOT NULL CHECK (length(sha256) = 64)
) STRICT;

CREATE TABLE property_version (
    row      INTEGER PRIMARY KEY,
    property INTEGER NOT NULL CHECK (property = 1),
    version  INTEGER NOT NULL CHECK (version > 0),
    change   INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    removed  INTEGER NOT NULL CHECK (removed = 0),
    settings TEXT    NOT NULL,
    UNIQUE (property, version)
) STRICT;

-- Names of units in the order in which they came.
CREATE TABLE unit (
    id   INTEGER PRIMARY KEY,
    name TEXT    NOT NULL UNIQUE CHECK (name <> '')
) STRICT;

CREATE TABLE unit_version (
    row           INTEGER PRIMARY KEY,
    unit          TEXT    NOT NULL REFERENCES unit (name),
    version       INTEGER NOT NULL CHECK (version > 0),
    change        INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    removed       INTEGER NOT NULL CHECK (removed IN (0, 1)),
    acres         REAL    NOT NULL CHECK (acres > 0),
    stated_acres  REAL    NOT NULL CHECK (stated_acres >= 0),
    min_interval  INTEGER NOT NULL CHECK (min_interval >= 1),
    max_interval  INTEGER NOT NULL CHECK (max_interval >= min_interval),
    seasons       TEXT    NOT NULL CHECK (json_type(seasons) = 'array'),
    burn_days     REAL    NOT NULL CHECK (burn_days >= 0),
    cost_cents    INTEGER NOT NULL CHECK (cost_cents >= 0),
    cover         TEXT    NOT NULL,
    mix           TEXT    NOT NULL,
    refuge        TEXT    NOT NULL,
    prescription  TEXT    NOT NULL,
    estimated_age INTEGER          CHECK (estimated_age >= 0),
    estimated_in  INTEGER NOT NULL,
    notes         TEXT    NOT NULL,
    UNIQUE (unit, version)
) STRICT;

CREATE TABLE shape_version (
    row      INTEGER PRIMARY KEY,
    unit     TEXT    NOT NULL REFERENCES unit (name),
    version  INTEGER NOT NULL CHECK (version > 0),
    change   INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    removed  INTEGER NOT NULL CHECK (removed IN (0, 1)),
    -- GeoJSON in longitude and latitude, WGS 84
    geometry TEXT    NOT NULL CHECK (json_extract(geometry, '$.type') IN ('Polygon', 'MultiPolygon')),
    file     TEXT    NOT NULL,
    UNIQUE (unit, version)
) STRICT;

CREATE TABLE pair_version (
    row         INTEGER PRIMARY KEY,
    unit_a      TEXT    NOT NULL REFERENCES unit (name),
    unit_b      TEXT    NOT NULL REFERENCES unit (name),
    version     INTEGER NOT NULL CHECK (version > 0),
    change      INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    removed     INTEGER NOT NULL CHECK (removed IN (0, 1)),
    kind        TEXT    NOT NULL CHECK (kind IN ('apart', 'neighbours')),
    shared_feet REAL    NOT NULL CHECK (shared_feet >= 0),
    CHECK (unit_a < unit_b),
    UNIQUE (unit_a, unit_b, version)
) STRICT;

CREATE TABLE lock_version (
    row          INTEGER PRIMARY KEY,
    unit         TEXT    NOT NULL REFERENCES unit (name),
    program_year INTEGER NOT NULL,
    version      INTEGER NOT NULL CHECK (version > 0),
    change       INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    removed      INTEGER NOT NULL CHECK (removed IN (0, 1)),
    burn         INTEGER NOT NULL CHECK (burn IN (0, 1)),
    season       TEXT    NOT NULL CHECK (season = '' OR burn = 1),
    UNIQUE (unit, program_year, version)
) STRICT;

CREATE TABLE burn_version (
    row           INTEGER PRIMARY KEY,
    burn          INTEGER NOT NULL CHECK (burn > 0),
    version       INTEGER NOT NULL CHECK (version > 0),
    change        INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    removed       INTEGER NOT NULL CHECK (removed IN (0, 1)),
    unit          TEXT    NOT NULL REFERENCES unit (name),
    first_on      TEXT    NOT NULL CHECK (first_on IS date(first_on)),
    last_on       TEXT    NOT NULL CHECK (last_on IS date(last_on) AND last_on >= first_on),
    kind          TEXT    NOT NULL CHECK (kind IN ('prescribed', 'wildfire', 'attempt')),
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

CREATE INDEX burn_of_unit ON burn_version (unit, first_on);

-- Prescriptions, weather records, sensitive places, tasks and contracts: each a
-- JSON text whose form the package that reads it knows, and for a weather
-- record its hours beside it.
CREATE TABLE document_version (
    row     INTEGER PRIMARY KEY,
    kind    TEXT    NOT NULL CHECK (kind <> ''),
    name    TEXT    NOT NULL CHECK (name <> ''),
    version INTEGER NOT NULL CHECK (version > 0),
    change  INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    body    TEXT    NOT NULL CHECK (json_valid(body)),
    record  BLOB,
    UNIQUE (kind, name, version)
) STRICT;

CREATE TABLE plan (
    number      INTEGER PRIMARY KEY CHECK (number > 0),
    change      INTEGER NOT NULL REFERENCES change (id) DEFERRABLE INITIALLY DEFERRED,
    made_for    TEXT    NOT NULL CHECK (made_for IS date(made_for)),
    -- the version of the data that the plan was made from
    data        TEXT    NOT NULL CHECK (data <> ''),
    first_year  INTEGER NOT NULL,
    years       INTEGER NOT NULL CHECK (years > 0),
    status      TEXT    NOT NULL CHECK (status IN ('optimal', 'feasible', 'infeasible')),
    cost        REAL,
    bound       REAL,
    note        TEXT    NOT NULL,
    assumptions TEXT    NOT NULL CHECK (json_type(assumptions) = 'array'),
    program     TEXT    NOT NULL,
    problem     BLOB    NOT NULL,
    answer      BLOB    NOT NULL,
    certificate BLOB
) STRICT;

CREATE INDEX property_of_change ON property_version (change);
CREATE INDEX unit_of_change     ON unit_version (change);
CREATE INDEX shape_of_change    ON shape_version (change);
CREATE INDEX pair_of_change     ON pair_version (change);
CREATE INDEX lock_of_change     ON lock_version (change);
CREATE INDEX burn_of_change     ON burn_version (change);
CREATE INDEX document_of_change ON document_version (change);
CREATE INDEX plan_of_change     ON plan (change);

CREATE TRIGGER change_stays            BEFORE UPDATE ON change           BEGIN SELECT RAISE(ABORT, 'a change is never rewritten'); END;
CREATE TRIGGER change_remains          BEFORE DELETE ON change           BEGIN SELECT RAISE(ABORT, 'a change is never deleted'); END;
CREATE TRIGGER property_version_stays  BEFORE UPDATE ON property_version BEGIN SELECT RAISE(ABORT, 'a version is never overwritten'); END;
CREATE TRIGGER property_version_remains BEFORE DELETE ON property_version BEGIN SELECT RAISE(ABORT, 'a version is never deleted'); END;
CREATE TRIGGER unit_stays              BEFORE UPDATE ON unit             BEGIN SELECT RAISE(ABORT, 'a unit''s name is never overwritten'); END;
CREATE TRIGGER unit_remains            BEFORE DELETE ON unit             BEGIN SELECT RAISE(ABORT, 'a unit''s name is never deleted'); END;
CREATE TRIGGER unit_version_stays      BEFORE UPDATE ON unit_version     BEGIN SELECT RAISE(ABORT, 'a version is never overwritten'); END;
CREATE TRIGGER unit_version_remains    BEFORE DELETE ON unit_version     BEGIN SELECT RAISE(ABORT, 'a version is never deleted'); END;
CREATE TRIGGER shape_version_stays     BEFORE UPDATE ON shape_version    BEGIN SELECT RAISE(ABORT, 'a version is never overwritten'); END;
CREATE TRIGGER shape_version_remains   BEFORE DELETE ON shape_version    BEGIN SELECT RAISE(ABORT, 'a version is never deleted'); END;
CREATE TRIGGER pair_version_stays      BEFORE UPDATE ON pair_version     BEGIN SELECT RAISE(ABORT, 'a version is never overwritten'); END;
CREATE TRIGGER pair_version_remains    BEFORE DELETE ON pair_version     BEGIN SELECT RAISE(ABORT, 'a version is never deleted'); END;
CREATE TRIGGER lock_version_stays      BEFORE UPDATE ON lock_version     BEGIN SELECT RAISE(ABORT, 'a version is never overwritten'); END;
CREATE TRIGGER lock_version_remains    BEFORE DELETE ON lock_version     BEGIN SELECT RAISE(ABORT, 'a version is never deleted'); END;
CREATE TRIGGER burn_version_stays      BEFORE UPDATE ON burn_version     BEGIN SELECT RAISE(ABORT, 'a version is never overwritten'); END;
CREATE TRIGGER burn_version_remains    BEFORE DELETE ON burn_version     BEGIN SELECT RAISE(ABORT, 'a version is never deleted'); END;
CREATE TRIGGER document_version_stays  BEFORE UPDATE ON document_version BEGIN SELECT RAISE(ABORT, 'a version is never overwritten'); END;
CREATE TRIGGER document_version_remains BEFORE DELETE ON document_version BEGIN SELECT RAISE(ABORT, 'a version is never deleted'); END;
CREATE TRIGGER plan_stays              BEFORE UPDATE ON plan             BEGIN SELECT RAISE(ABORT, 'a plan is never overwritten'); END;
CREATE TRIGGER plan_remains            BEFORE DELETE ON plan             BEGIN SELECT RAISE(ABORT, 'a plan is never deleted'); END;
