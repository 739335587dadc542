-- What a user has changed on a plan and has neither kept nor discarded. It is work
-- under way, not part of what the property was at any time: it is overwritten by
-- every edit, no change names it and no seal covers it, so that a hundred edits
-- leave the journal and the version of the data as they were. serial counts every
-- write, so that another opening of the file sees that something was written;
-- body is NULL while there is no draft.
CREATE TABLE draft (
    id     INTEGER PRIMARY KEY CHECK (id = 1),
    serial INTEGER NOT NULL CHECK (serial > 0),
    body   TEXT             CHECK (body IS NULL OR json_valid(body))
) STRICT;
