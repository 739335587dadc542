// Package house holds the test that keeps the map of the house: which package
// may import which of ours, and which one package wraps each module from
// outside. See DEVELOPERS.md.
package house
