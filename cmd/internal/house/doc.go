// Package house holds the tests that keep the house in order: which package
// may import which of ours, which one package wraps each module from outside,
// which licenses those have, and which words we do not write. See DEVELOPERS.md.
package house
