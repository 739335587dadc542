// Package groundtest holds what the tests of the packages about ground share:
// the reference polygons, outside programs, and shapes of known size.
package groundtest
