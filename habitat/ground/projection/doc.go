// Package projection brings coordinates to degrees of longitude and latitude on
// WGS 84.
//
// A System comes from an EPSG code (ByCode), from the text of a .prj file
// (FromWKT), or from what a user states (Parse): degrees, UTM, state plane,
// Albers, Lambert conic, Mercator and web Mercator on WGS 84 and NAD83. NAD27 is
// shifted by a mean and reported as about 33 ft off; anything else is refused by
// name.
package projection
