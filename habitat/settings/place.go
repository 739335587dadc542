package settings

import (
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// place is where a key stands in the file; both count from 1.
type place struct{ line, column int }

// places maps the path of every key and table, such as "season[1].burn_days",
// to its place. The text has passed the TOML decoder.
func places(text []byte) map[string]place {
	f := finder{found: map[string]place{}, count: map[string]int{}}
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

type finder struct {
	parser unstable.Parser
	found  map[string]place
	// count counts the tables of each array of tables so far.
	count map[string]int
}

func (f *finder) header(e *unstable.Node, isArray bool) string {
	path := ""
	for it := e.Key(); it.Next(); {
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
	for it := e.Key(); it.Next(); {
		path = join(path, string(it.Node().Data))
		f.note(path, it.Node())
	}
	f.value(path, e.Value())
}

func (f *finder) value(path string, v *unstable.Node) {
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
	start := f.parser.Shape(n.Raw).Start
	return place{start.Line, start.Column}
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
