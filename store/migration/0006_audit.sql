-- Which property this is, whatever it is called: made once, so that two of one name
-- are told apart in calendars and among papers. Files of older schemas have no row;
-- theirs follows from the seal of their first change.
CREATE TABLE identity (
    one    INTEGER PRIMARY KEY CHECK (one = 1),
    id     TEXT    NOT NULL CHECK (length(id) >= 16),
    -- over the id
    sha256 TEXT    NOT NULL CHECK (length(sha256) = 64)
) STRICT;

CREATE TRIGGER identity_stays   BEFORE UPDATE ON identity BEGIN SELECT RAISE(ABORT, 'which property this is is never overwritten'); END;
CREATE TRIGGER identity_remains BEFORE DELETE ON identity BEGIN SELECT RAISE(ABORT, 'which property this is is never deleted'); END;

-- Who made a change, as they said; NULL where nobody did. The seal covers it.
ALTER TABLE change ADD COLUMN made_by TEXT CHECK (made_by <> '');
