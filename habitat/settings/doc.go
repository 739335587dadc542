// Package settings reads and writes the settings file of a property: TOML text
// with comments, which becomes a habitat.Property and comes from one.
//
// Read refuses what it does not know, and says where each fault stands: unknown
// and misspelled keys with line and column, wrong kinds of values, and everything
// that Property.Validate finds. What Write writes, Read reads back as the same
// property. Diff says in words what changed between two.
package settings
