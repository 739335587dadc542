// Package alias holds the old spellings of words in files and commands.
//
// Files and scripts written for an older emberquilt keep working: an old
// spelling is read as the current one and never written.
package alias

import (
	"maps"
	"slices"
)

// current maps each old spelling of a key, column, kind or command to the word
// that stands for it now.
var current = map[string]string{
	"neighbours": "neighbors",
	"neighbour":  "neighbor",
}

// options maps, by command, each old spelling of an option to the one that
// stands for it now. Another command's option of the old name is not meant.
var options = map[string]map[string]string{
	"card":       {"keep": "save", "forget": "clear"},
	"contacts":   {"apply": "load"},
	"import":     {"kind": "as"},
	"settings":   {"apply": "load"},
	"tasks list": {"apply": "load"},
}

// Option gives the option that stands today for a spelling, which is the
// spelling itself where it is not an old one of the command.
func Option(command, name string) string {
	if now, old := options[command][name]; old {
		return now
	}
	return name
}

// OldOptions gives the old spellings of a command's options with those that stand
// for them now; nil where it has none. The map is a copy.
func OldOptions(command string) map[string]string { return maps.Clone(options[command]) }

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
