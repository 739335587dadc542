package settings

import (
	"fmt"
	"sort"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// place is where a key stands in the file; both count from 1.
type place struct{ line, column int }

// Places says where the keys and tables of a TOML file stand, by their paths,
// such as "season[1].burn_days".
type Places map[string]place

// FindPlaces finds the keys and tables of a text that has passed the TOML
// decoder.
func FindPlaces(text []byte) Places {
	f := finder{found: Places{}, count: map[string]int{}, starts: lineStarts(text)}
	f.parser.Reset(text)
	table := ""
	for f.parser.NextExpression() {
		e := f.parser.Expression()
		switch e.Kind {
		case unstable.Table:
			table = f.header(e, false)
		case unstable.ArrayTable:
			table = f.header(e, true)
		case unstable.KeyValue:
			f.keyValue(table, e)
		}
	}
	return f.found
}

// Line gives the line of a path, counted from 1. A path that is not in the file
// stands where the nearest table or list around it does; 0 means the file itself.
func (p Places) Line(path string) int { return p.at(path).line }

func (p Places) at(path string) place {
	for ; path != ""; path = parent(path) {
		if at, ok := p[path]; ok {
			return at
		}
	}
	return place{}
}

// longestPath is the longest path, in bytes, that is looked into, far above what
// any file of ours needs. What lies deeper stands where its parent does. Without
// it a key of a hundred thousand parts would fill the memory with its paths.
const longestPath = 200

type finder struct {
	parser unstable.Parser
	found  Places
	// starts holds the offset of each line; the parser's own way to a line
	// counts from the top of the file for every key.
	starts []int
	// count counts the tables of each array of tables so far.
	count map[string]int
}

func (f *finder) header(e *unstable.Node, isArray bool) string {
	path := ""
	for it := e.Key(); it.Next() && len(path) <= longestPath; {
		path = join(path, string(it.Node().Data))
		f.note(path, it.Node())
		last := it.IsLast()
		if last && isArray {
			f.count[path]++
		}
		// A table inside an array of tables belongs to the newest of them.
		if n := f.count[path]; n > 0 {
			path = fmt.Sprintf("%s[%d]", path, n-1)
			if last {
				f.found[path] = f.at(it.Node())
			}
		}
	}
	return path
}

func (f *finder) keyValue(path string, e *unstable.Node) {
	for it := e.Key(); it.Next() && len(path) <= longestPath; {
		path = join(path, string(it.Node().Data))
		f.note(path, it.Node())
	}
	f.value(path, e.Value())
}

func (f *finder) value(path string, v *unstable.Node) {
	if len(path) > longestPath {
		return
	}
	switch v.Kind {
	case unstable.InlineTable:
		for it := v.Children(); it.Next(); {
			if it.Node().Kind == unstable.KeyValue {
				f.keyValue(path, it.Node())
			}
		}
	case unstable.Array:
		i := 0
		for it := v.Children(); it.Next(); {
			if it.Node().Kind == unstable.Comment {
				continue
			}
			item := fmt.Sprintf("%s[%d]", path, i)
			if p, ok := f.found[path]; ok {
				f.found[item] = p
			}
			f.value(item, it.Node())
			i++
		}
	}
}

// note keeps the first place of a path.
func (f *finder) note(path string, n *unstable.Node) {
	if _, ok := f.found[path]; !ok {
		f.found[path] = f.at(n)
	}
}

func (f *finder) at(n *unstable.Node) place {
	offset := int(n.Raw.Offset)
	line := sort.SearchInts(f.starts, offset+1)
	return place{line, offset - f.starts[line-1] + 1}
}

func lineStarts(text []byte) []int {
	starts := []int{0}
	for i, c := range text {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// parent gives the path without its last key or index; empty for the file.
func parent(path string) string {
	if at := strings.LastIndexAny(path, ".["); at >= 0 {
		return path[:at]
	}
	return ""
}
