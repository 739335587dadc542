package house_test

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// word is a way of writing that the house does not use, and what it writes.
type word struct {
	// not is held against each word of a file, or, where near is set, against
	// the text of files that hold near.
	not  *regexp.Regexp
	near string
	but  string
	// in lists where the word stands for a reason; a path that ends in "/" is a
	// folder.
	in []string
}

// wordsOfOthers are files whose words are not ours.
var wordsOfOthers = []string{"LICENSE", "LICENSE-third-party.txt", "go.sum", "habitat/county/centers.csv", "report/page/echarts/", "schedule/bench/testdata/", ".git/", "cmd/internal/house/words_test.go"}

// keyOfProblems says where a British key stays, and why: it is part of
// rotation-problem/1, rotation-answer/1 and rotation-certificate/1, of the kind
// that the first schema of the property file checks, and of what is read for an
// older emberquilt.
var keyOfProblems = []string{
	"schedule/problem/", "schedule/certify/", "testdata/problem/",
	"store/migration/0001_start.sql", "store/unit.go",
	"habitat/alias/", "CHANGELOG.md",
}

// statusOfCalendars says where the word of RFC 5545 for an event that no longer holds
// stays.
var statusOfCalendars = []string{"report/ical/", ".ci/", "cmd/emberquilt/testdata/script/calendars.txtar", "cmd/emberquilt/nasty_year_test.go"}

// wordsOfPeople says where words that people write in their lists are read.
var wordsOfPeople = []string{"habitat/list/about_when.go", "habitat/list/forgiving_test.go"}

// not refuses single words, in any case.
func not(pattern, but string, in ...string) word {
	return word{regexp.MustCompile(`(?im)^(` + pattern + `)$`), "", but, in}
}

// phrase refuses what is more than a word, in texts that hold near in small
// letters.
func phrase(near, pattern, but string, in ...string) word {
	return word{regexp.MustCompile(`(?i)` + pattern), near, but, in}
}

var words = []word{
	not(`\w*neighbour\w*`, "neighbor", keyOfProblems...),
	not(`programmes?|\w*authoris\w+`, "program, authorize"),
	not(`\w*(behavi|col|fav|hon|lab|harb|vap)our\w*`, "-or"),
	not(`licences?|defence|offence|pretence|practis\w+`, "license, defense, practice"),
	not(`(kilo|centi|milli)?metres?|litres?|centre[ds]?|fibres?`, "-er"),
	not(`(\w*(organ|recogn|real|optim|minim|maxim|normal|initial|summar|serial|final|general|special|categor|character|penal|prior|emphas|apolog|util|local))is(e|ed|es|ing|ations?)`, "-ize"),
	not(`analysed?|analysing|catalogues?`, "analyze, catalog"),
	not(`(travel|model|label|level|signal|tunnel|fuel|total)l(ed|ing|er)`, "one l"),
	not(`cancell(ed|ing|er)`, "one l", statusOfCalendars...),
	not(`grey\w*|mown|learnt|spelt|burnt|whilst|amongst|autumn\w*|ageing|judgement|artefacts?|storeys?|cheques?|plough\w*|mould\w*|tyres?|kerbs?|fortnight|telephone\w*`, "the American word", wordsOfPeople...),
	not(`dearer|mends`, "costs more; fixes"),
	not(`CPLEX`, "LP text"),
	phrase("trade fact", `trade fact`, "author, year, title, table or page, or common practice"),
	phrase("exclude each other", `exclude each other`, "cannot be combined; use one"),
	phrase("accepts one of them", `accepts one of them`, "cannot be combined; use one"),
	phrase(" no ", `[^e] (is|are) no (pattern|season|number|kind|graph|date|day|name|file|folder|unit of|list of|plan:|part of|closure of|run|work)\b`, "is not a …"),
	phrase("said to be", `said to be`, "the thing itself"),
	phrase("aldous place", `Aldous Place`, "Pennywhistle Place"),
	phrase(" of ", `(dormant|growing|summer|fall|winter|spring) of (20\d\d|%d)`, "dormant season 2027", wordsOfPeople...),
	phrase("burn days to expect", `burn days to expect`, "expected burn days"),
	phrase("taken as due", `taken as due`, "assumed due"),
	phrase("! due now", `! due now`, "last chance this year"),
	phrase("first window: none", `first window: none`, "the reason"),
	phrase(" %%", `\d %%`, "22%, without a space"),
	// A remainder in code has a number or a bracket behind it.
	phrase(" %", `[^>+*-] \d+(\.\d+)? %([.,;:)|<"]|\s[^\d(]|$)`, "22%, without a space"),
	phrase("../shared", `\.\./shared`, "the reference data folder, see DEVELOPERS.md", "DEVELOPERS.md", "testdata/refdata/refdata.go"),
}

// at reports whether a path is one of those listed or lies in a folder of them.
func at(path string, list []string) bool {
	return slices.ContainsFunc(list, func(one string) bool {
		return path == one || strings.HasSuffix(one, "/") && strings.HasPrefix(path, one)
	})
}

var single = regexp.MustCompile(`[A-Za-z]+`)

// vocabulary gives each word of a text once, a line each.
func vocabulary(text string) string {
	once := map[string]bool{}
	for _, w := range single.FindAllString(text, -1) {
		once[w] = true
	}
	return strings.Join(slices.Sorted(maps.Keys(once)), "\n")
}

// found gives what stands in a text that the house does not write.
func found(path, text string) []string {
	if at(path, wordsOfOthers) {
		return nil
	}
	var all []string
	single, small := vocabulary(text), strings.ToLower(text)
	for _, w := range words {
		if at(path, w.in) || !strings.Contains(small, w.near) {
			continue
		}
		in := text
		if w.near == "" {
			in = single
		}
		for _, bad := range w.not.FindAllString(in, -1) {
			line := 1 + strings.Count(text[:max(0, strings.Index(text, bad))], "\n")
			all = append(all, fmt.Sprintf("%s:%d: %q; the house writes: %s", path, line, bad, w.but))
		}
	}
	return all
}

// ignored tells by .gitignore what the program and its builds leave in a checkout, such
// as the demo's folder: it is not of the house.
func ignored(t *testing.T, root string) func(name string, isFolder bool) bool {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(root, ".gitignore"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Fields(string(text))
	return func(name string, isFolder bool) bool {
		return slices.ContainsFunc(lines, func(line string) bool {
			pattern, isFoldersOnly := strings.CutSuffix(line, "/")
			if isFoldersOnly && !isFolder {
				return false
			}
			against := path.Base(name)
			if strings.Contains(pattern, "/") {
				pattern, against = strings.TrimPrefix(pattern, "/"), name
			}
			matches, err := path.Match(pattern, against)
			return err == nil && matches
		})
	}
}

func TestOnlyWhatIsMadeIsPassedOver(t *testing.T) {
	isMade := ignored(t, "../../..")
	for name, want := range map[string]bool{"emberquilt-demo/": true, ".ci/node/node_modules/": true, "emberquilt": true, "habitat.test": true,
		"report/emberquilt-demo/": false, "cmd/emberquilt/": false, "emberquilt-demo": false, "README.md": false, "testdata/demo/": false} {
		name, isFolder := strings.CutSuffix(name, "/")
		if isMade(name, isFolder) != want {
			t.Errorf("%s is passed over: %v", name, !want)
		}
	}
}

func TestWordsOfTheHouse(t *testing.T) {
	root := "../../.."
	isMade := ignored(t, root)
	looked := 0
	err := filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		within, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		within = filepath.ToSlash(within)
		if entry.IsDir() {
			if at(within+"/", wordsOfOthers) || isMade(within, true) {
				return filepath.SkipDir
			}
			return nil
		}
		if isMade(within, false) {
			return nil
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if !entry.Type().IsRegular() || !utf8.Valid(text) { // pictures, property files
			return nil
		}
		looked++
		for _, bad := range found(within, string(text)) {
			t.Error(bad)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if looked < 500 {
		t.Errorf("%d files were looked at; the test looks at the wrong place", looked)
	}
}

// TestWordsRefuse is the check's own check: each line must be found, and the
// second of each pair must pass.
func TestWordsRefuse(t *testing.T) {
	for _, test := range []struct{ bad, good string }{
		{"the neighbours' behaviour", "the neighbors' behavior"},
		{"a programme of burns", "a program of burns, programmed"},
		{"No authorisation", "No authorization"},
		{"30 metres", "30 meters, a parameter"},
		{"Grey, colour", "Gray, color"},
		{"it organises", "it organizes, an organism"},
		{"analyse", "analyses of data"},
		{"labelled", "aria-labelledby"},
		{"mown in autumn", "mowed in fall"},
		{"trade fact C16", "Wade and Lundsford 1989"},
		{"--a and --b exclude each other; accepts one of them", "--a and --b cannot be combined; use one"},
		{`"x" is no pattern`, `"x" is not a pattern`},
		{"dormant of 2027 is over", "dormant season 2027 is over"},
		{"rh_pct 75 %, wants 30 to 50 %\n", "rh_pct 75%, wants 30 to 50%\n"},
		{`Sprintf("%.2f of 5 %%", x)`, `Sprintf("%.2f of 5%%", x)`},
		{"read ../shared/reference/data", "read the reference data folder"},
	} {
		if len(found("report/view/sheet.go", test.bad)) == 0 {
			t.Errorf("%q passes", test.bad)
		}
		if all := found("report/view/sheet.go", test.good); len(all) > 0 {
			t.Errorf("%q does not pass: %q", test.good, all)
		}
	}
	if len(found("schedule/problem/read.go", `"neighbours"`)) > 0 || len(found("schedule/window/doc.go", `"neighbours"`)) == 0 {
		t.Error("the key of problem files is allowed in the wrong place")
	}
}
