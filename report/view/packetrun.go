package view

import (
	"fmt"
	"slices"
)

// PropertyPackets is what became of the packets of one property file.
type PropertyPackets struct {
	File string `json:"property_file"`
	// Written names the files, Packets is how many packets they are: each is written in
	// several forms.
	Written []string `json:"written"`
	Packets int      `json:"packets"`
	// CopyOf is the file before it that holds the same property; empty for none.
	CopyOf string `json:"copy_of,omitempty"`
	// Failed says why it failed; empty where it did not.
	Failed string `json:"failed,omitempty"`
}

// State says in a word or two how it went.
func (p *PropertyPackets) State() string {
	state := "done"
	switch {
	case p.Failed != "":
		return "FAILED: " + p.Failed
	case len(p.Written) == 0:
		state = "no contract"
	}
	if p.CopyOf != "" {
		state += "; " + CopyShort(p.CopyOf)
	}
	return state
}

// CopyShort says that a file is a copy of another.
func CopyShort(of string) string { return "a copy of " + of }

// CopyWords says that a file is a copy of another, and what follows for tables of many.
func CopyWords(path, of string) string {
	return fmt.Sprintf("%s is a copy of %s, one property: what it holds stands here twice", path, of)
}

// FilesLost are the files that are gone or altered, of those that somebody looked at;
// a file that was moved is not lost.
func FilesLost(files []FileState) []FileState {
	return slices.DeleteFunc(slices.Clone(files), func(f FileState) bool { return f.State != fileGone && f.State != fileAltered })
}

// FileWarnings says which files are not what they were.
func FileWarnings(files []FileState) []string {
	var all []string
	for _, f := range files {
		of := "the contract"
		if f.Burn > 0 {
			of = fmt.Sprintf("burn %d", f.Burn)
		}
		if !f.IsGood {
			all = append(all, fmt.Sprintf("file %s of %s: %s", f.Path, of, f.State))
		}
	}
	return all
}
