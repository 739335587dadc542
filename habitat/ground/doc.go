// Package ground turns files with boundaries into shapes on the ground, and
// shapes into what a plan needs of them: acres, neighbors, feet of break,
// depth along the wind, distances to sensitive places, and files for other
// programs.
//
// Read takes a file, tells its format from its content, and gives a Layer of
// Features: GeoJSON, ESRI shapefile, KML and KMZ, GPX, and CSV with a column of
// well-known text. Whatever the file's coordinate system, a Shape is in
// longitude and latitude on WGS 84, and it is clean: rings are closed, do not
// cross themselves, and wind the way RFC 7946 asks. A small fault is fixed and
// said in a Note with the acres that moved; a fault whose repair would be a
// guess is an error with the place where it stands.
//
// Coordinate systems: degrees, UTM, state plane, Albers, Lambert conic, Mercator
// and web Mercator on WGS 84 and NAD83, as a .prj text or an EPSG code names them.
// NAD27 is shifted by a mean, with a note that it is about 33 ft off; anything else is
// refused by name. A file that does not say its system, and whose numbers cannot
// be degrees, is refused until Options.System says it.
//
// Review tells what is odd about a layer as a whole. A Survey answers how shapes
// lie to each other: Neighbors, Breaks. Depth, Away and Label ask one shape.
// WriteGeoJSON, WriteKML, WriteCSV and WriteShapefile write a Table.
//
// # Measures
//
// An edge is the shortest line on the ground between its two points (the
// geodesic), as GeographicLib's Planimeter takes it. Areas come from Lambert's
// azimuthal equal-area projection of the WGS 84 ellipsoid centered on each
// polygon, with long edges cut into short pieces. Lengths are lengths on the
// ellipsoid, not on a map projection's plane.
package ground
