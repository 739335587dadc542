package prescription

import (
	"embed"
	"fmt"
	"io/fs"
)

//go:embed starter/*.json
var starterFiles embed.FS

// Starters gives the prescriptions that ship with the program, in the order of
// their file names. Every limit in them names its source.
func Starters() []*Prescription {
	names, err := fs.Glob(starterFiles, "starter/*.json")
	if err != nil {
		panic("prescription: " + err.Error())
	}
	starters := make([]*Prescription, 0, len(names))
	for _, name := range names {
		data, err := starterFiles.ReadFile(name)
		if err != nil {
			panic("prescription: " + err.Error())
		}
		p, err := Parse(name, data)
		if err != nil {
			panic(fmt.Sprintf("prescription: a starter is bad: %v", err))
		}
		starters = append(starters, p)
	}
	return starters
}
