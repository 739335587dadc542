// Package ground holds shapes on the ground and answers what a plan asks of
// them: acres, neighbors, feet of break, depth along the wind, distances to
// sensitive places.
//
// A Shape is in longitude and latitude on WGS 84, and it is clean: its rings are
// closed, do not cross themselves, and wind the way RFC 7946 asks. Depth, Away
// and Label ask one shape; a Survey answers how shapes lie to each other:
// Neighbors, Breaks, ToMake. A Plane lays them flat for a drawing.
//
// The rooms below it bring shapes in and out, in this order:
//
//   - geofile reads and writes the files of other programs;
//   - projection brings their coordinates to degrees on WGS 84;
//   - repair makes clean shapes of the rings they hold;
//   - internal/flat is the geometry of the plane that all stand on.
//
// # Measures
//
// An edge is the shortest line on the ground between its two points (the
// geodesic), as GeographicLib's Planimeter takes it. Areas come from Lambert's
// azimuthal equal-area projection of the WGS 84 ellipsoid centered on each
// polygon, with long edges cut into short pieces. Lengths are lengths on the
// ellipsoid, not on a map projection's plane.
package ground
