-- The first and the last day on which a unit is the property's to burn; NULL where
-- there is no such end. A seal leaves out what is NULL, so that older seals hold.
ALTER TABLE unit_version ADD COLUMN owned_from  TEXT CHECK (owned_from  IS NULL OR owned_from  IS date(owned_from));
ALTER TABLE unit_version ADD COLUMN owned_until TEXT CHECK (owned_until IS NULL OR owned_until IS date(owned_until));
