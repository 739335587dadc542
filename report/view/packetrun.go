package view

import (
	"fmt"
	"slices"
)

// PropertyPackets is what became of the packets of one property file.
type PropertyPackets struct {
	File string `json:"property_file"`
	// Written names the files; three a packet.
	Written []string `json:"written"`
	// Failed says why it failed; empty where it did not.
	Failed string `json:"failed,omitempty"`
}

// Packets counts the packets that were written.
func (p *PropertyPackets) Packets() int { return len(p.Written) / 3 }

// State says in a word or two how it went.
func (p *PropertyPackets) State() string {
	switch {
	case p.Failed != "":
		return "FAILED: " + p.Failed
	case len(p.Written) == 0:
		return "no contract"
	}
	return "done"
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
