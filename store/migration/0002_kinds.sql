-- How units are burned, whom to call, which station counts and what other burn
-- days would cost a plan have kinds of their own. In files of schema 1 they are
-- documents of the kind 'other' that are told apart by their names: this view
-- gives those their kind and name. Their rows stay as they are, and so do the
-- seals over them; later versions are written under the kind and follow on.
CREATE VIEW document AS SELECT row,
    CASE WHEN kind <> 'other'                        THEN kind
         WHEN name = 'firing of '                    THEN 'firing of every unit'
         WHEN substr(name, 1, 10) = 'firing of '     THEN 'firing'
         WHEN name = 'contacts'                      THEN 'contacts'
         WHEN name = 'station in use'                THEN 'station in use'
         WHEN substr(name, 1, 16) = 'springs of plan ' THEN 'burn day scenarios'
         ELSE kind END AS kind,
    CASE WHEN kind <> 'other'                        THEN name
         WHEN name = 'firing of '                    THEN 'property'
         WHEN substr(name, 1, 10) = 'firing of '     THEN substr(name, 11)
         WHEN name IN ('contacts', 'station in use') THEN 'property'
         WHEN substr(name, 1, 16) = 'springs of plan ' THEN substr(name, 17)
         ELSE name END AS name,
    version, change, removed, body, record
FROM document_version;

-- The same two expressions, so that the newest version is found without reading
-- all of them, and so that the versions of both kinds are counted as one row.
CREATE UNIQUE INDEX document_by_kind ON document_version (
    CASE WHEN kind <> 'other'                        THEN kind
         WHEN name = 'firing of '                    THEN 'firing of every unit'
         WHEN substr(name, 1, 10) = 'firing of '     THEN 'firing'
         WHEN name = 'contacts'                      THEN 'contacts'
         WHEN name = 'station in use'                THEN 'station in use'
         WHEN substr(name, 1, 16) = 'springs of plan ' THEN 'burn day scenarios'
         ELSE kind END,
    CASE WHEN kind <> 'other'                        THEN name
         WHEN name = 'firing of '                    THEN 'property'
         WHEN substr(name, 1, 10) = 'firing of '     THEN substr(name, 11)
         WHEN name IN ('contacts', 'station in use') THEN 'property'
         WHEN substr(name, 1, 16) = 'springs of plan ' THEN substr(name, 17)
         ELSE name END,
    version);
