package settings

import (
	"strings"
	"testing"
)

func TestPlaces(t *testing.T) {
	const text = "# years = 1\r\nname = '''\r\nyears = 2\r\n[[season]]\r\n'''\r\n\"years\" = 3\r\n" + // 1 to 6
		"[[ season ]] # one\n  first = 1\n[[season]]\nfirst.last = 2\n" + // 7 to 10
		"[season.inner]\nlist = [\n  1, # [2]\n  { deep = 1 },\n]\n" // 11 to 15
	places := FindPlaces([]byte(text))
	for path, want := range map[string]place{
		"name":                            {2, 1},
		"years":                           {6, 1},
		"season":                          {7, 4},
		"season[0]":                       {7, 4},
		"season[0].first":                 {8, 3},
		"season[1]":                       {9, 3},
		"season[1].first.last":            {10, 7},
		"season[1].inner":                 {11, 9},
		"season[1].inner.list[0]":         {12, 1},
		"season[1].inner.list[1].deep":    {14, 5},
		"season[1].inner.list[1].missing": {12, 1},
		"season[0].missing":               {7, 4},
		"missing":                         {},
	} {
		if got := places.at(path); got != want {
			t.Errorf("%s: %v, want %v", path, got, want)
		}
		if got := places.Line(path); got != want.line {
			t.Errorf("%s: line %d, want %d", path, got, want.line)
		}
	}
}

// What is nested without end is looked into only so far, in keys, headers, lists
// and tables; what follows is found all the same.
func TestPlacesOfDeepKeysStayFew(t *testing.T) {
	const deep = 9000
	for name, text := range map[string]string{
		"key":    "a" + strings.Repeat(".a", deep) + " = 1\n",
		"header": "[a" + strings.Repeat(".a", deep) + "]\nx = 1\n",
		"tables": "[[a" + strings.Repeat(".a", deep) + "]]\nx = 1\n",
		"list":   "a = " + strings.Repeat("[", deep) + strings.Repeat("]", deep) + "\n",
		"inline": "a = " + strings.Repeat("{ a = ", deep) + "1" + strings.Repeat(" }", deep) + "\n",
	} {
		places := FindPlaces([]byte(text + "[end]\nkey = 1\n"))
		if len(places) < 50 || len(places) > longestPath {
			t.Errorf("%s: %d places", name, len(places))
		}
		if got, want := places.Line("end.key"), strings.Count(text, "\n")+2; got != want {
			t.Errorf("%s: the key behind is in line %d, want %d", name, got, want)
		}
		if got := places.Line("a" + strings.Repeat(".a", deep)); name == "key" && got != 1 {
			t.Errorf("%s: the deepest stands in line %d", name, got)
		}
	}
}
