package geofile

import (
	"bytes"
	"fmt"

	"emberquilt/habitat/source"
)

// The limits of what is read. They keep a file made to do harm, or the wrong
// file, from taking more than some 200 MB or a minute; the largest property that
// anyone has drawn is far below them.
const (
	// MaxBytes is the size of the largest file, packed or unpacked. Half a
	// million points of GeoJSON take about 20 MB.
	MaxBytes = 40 << 20
	// maxPacked is the size of the largest zip.
	maxPacked = 32 << 20
	// MaxFeatures is how many features a file may hold.
	MaxFeatures = 100_000
	// maxPoints is how many points a file may hold.
	maxPoints = 2_000_000
	// maxRings is how many rings a feature may hold.
	maxRings = 20_000
	// maxLine is the length of the longest line of a CSV table, maxColumns how
	// many fields one may have.
	maxLine    = 16 << 20
	maxColumns = 1_000_000
	// maxAttributes is how many attributes a feature may hold, maxAllAttributes
	// a file.
	maxAttributes    = 2_000
	maxAllAttributes = 500_000
)

// tooMuch says which limit of a file was passed.
func tooMuch(at source.Position, what string, most int) *source.Error {
	return &source.Error{Position: at, Found: fmt.Sprintf("more than %s %s", grouped(int64(most)), what),
		Accepts: fmt.Sprintf("up to %s", grouped(int64(most)))}
}

// tooLarge is the error about a file above MaxBytes.
func tooLarge(file string) *source.Error {
	return &source.Error{Position: source.Position{File: file}, Found: fmt.Sprintf("the file is above %d MB", MaxBytes>>20), Accepts: fmt.Sprintf("up to %d MB", MaxBytes>>20)}
}

// zipEntries counts the files that a zip lists, without trusting what it says.
func zipEntries(data []byte) int { return bytes.Count(data, []byte("PK\x01\x02")) }
