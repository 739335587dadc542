// Package geofile reads files with boundaries and writes shapes for other
// programs.
//
// Read takes a file, tells its format from its content, and gives a Layer of
// Features: GeoJSON, ESRI shapefile, KML and KMZ, GPX, and CSV with a column of
// well-known text. Whatever the file's coordinate system, a feature's shape is a
// clean ground.Shape on WGS 84: package projection knows the systems, package
// repair fixes the rings. A file that does not say its system, and whose numbers
// cannot be degrees, is refused until Options.System says it.
//
// A small fault is repaired and said in a Note with the acres that moved; a
// fault whose repair would be a guess is an error with the place where it
// stands. Review tells what is odd about a layer as a whole.
//
// WriteGeoJSON, WriteKML, WriteCSV and WriteShapefile write a Table.
package geofile
