// Package alias holds the old spellings of words in files and commands.
//
// Files and scripts written for an older emberquilt keep working: an old
// spelling is read as the current one and never written.
package alias

import "slices"

// current maps each old spelling of a key, column, kind or command to the word
// that stands for it now.
var current = map[string]string{
	"neighbours": "neighbors",
	"neighbour":  "neighbor",
}

// Current gives the word that stands today for a spelling, which is the
// spelling itself where it is not an old one.
func Current(word string) string {
	if now, old := current[word]; old {
		return now
	}
	return word
}

// Old gives the old spellings of a word, in alphabetical order; nil where it
// has none.
func Old(word string) []string {
	var all []string
	for old, now := range current {
		if now == word {
			all = append(all, old)
		}
	}
	slices.Sort(all)
	return all
}
