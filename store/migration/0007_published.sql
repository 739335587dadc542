-- What calendar files have said of each event, so that the next one can tell the
-- calendars that follow it what moved and what no longer holds. It is not a part of what
-- the property was at any time: every calendar file overwrites it, no change names it
-- and no seal covers it, so that writing a calendar leaves the version of the data as
-- it was.
CREATE TABLE published_event (
    unit         TEXT    NOT NULL CHECK (unit <> ''),
    program_year INTEGER NOT NULL,
    kind         TEXT    NOT NULL CHECK (kind <> ''),
    name         TEXT    NOT NULL,
    first_on     TEXT    NOT NULL CHECK (first_on IS date(first_on)),
    last_on      TEXT    NOT NULL CHECK (last_on IS date(last_on) AND last_on >= first_on),
    summary      TEXT    NOT NULL,
    sequence     INTEGER NOT NULL CHECK (sequence >= 0),
    at           TEXT    NOT NULL CHECK (at IS strftime('%Y-%m-%dT%H:%M:%SZ', at)),
    digest       TEXT    NOT NULL,
    canceled     INTEGER NOT NULL CHECK (canceled IN (0, 1)),
    PRIMARY KEY (unit, program_year, kind, name)
) STRICT, WITHOUT ROWID;
