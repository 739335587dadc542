// Package demo holds the files of the demo's invented properties, so that the
// program can build them anywhere; see the README.md beside this file.
package demo

import "embed"

// Files holds one folder a property: settings.toml, units.geojson, burns.csv,
// pairs.csv, places.geojson and, where the story has them, breaks.geojson,
// locks.csv, contract.csv and weather.
//
//go:embed README.md tamsel-bend pennywhistle-place nine-gate
var Files embed.FS
