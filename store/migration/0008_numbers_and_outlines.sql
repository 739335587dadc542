-- Where a unit stands in the records of farms and of land, as its owner writes it, and
-- what of it burned, as GeoJSON in longitude and latitude, WGS 84; NULL where nobody
-- said. A seal leaves out what is NULL, so that older seals hold.
ALTER TABLE unit_version ADD COLUMN farm         TEXT CHECK (farm         <> '');
ALTER TABLE unit_version ADD COLUMN tract        TEXT CHECK (tract        <> '');
ALTER TABLE unit_version ADD COLUMN field_number TEXT CHECK (field_number <> '');
ALTER TABLE unit_version ADD COLUMN section      TEXT CHECK (section      <> '');
ALTER TABLE burn_version ADD COLUMN outline      TEXT CHECK (json_extract(outline, '$.type') IN ('Polygon', 'MultiPolygon'));
