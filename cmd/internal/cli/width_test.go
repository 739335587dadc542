package cli

import (
	"bytes"
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/spf13/cobra"
)

// runAt runs a command with a terminal of a width; 0 is a pipe.
func runAt(t *testing.T, width string, args ...string) (out string, status int, said string) {
	t.Helper()
	var o, e bytes.Buffer
	p := Program{Args: args, In: strings.NewReader(""), Out: &o, Err: &e, Now: func() time.Time { return time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC) },
		Getenv: func(key string) string {
			switch key {
			case "COLUMNS":
				return width
			case "EMBERQUILT_TODAY":
				return "2026-11-25"
			}
			return ""
		}}
	status = p.Run(context.Background())
	return o.String(), status, e.String()
}

// cells counts the columns of a terminal that a line takes. Characters of two columns or
// of none would need a table of them: the demo has none, which is checked.
func cells(t *testing.T, line string) int {
	n := 0
	for _, r := range line {
		if r >= 0x1100 && r <= 0x115f || r >= 0x2e80 && r <= 0xffe6 || r >= 0x1f000 || unicode.In(r, unicode.Mn, unicode.Me) || unicode.IsControl(r) {
			t.Fatalf("%q is a character whose width is not known here", r)
		}
		n++
	}
	return n
}

// tally counts the words of a text, and the titles of tables apart from case.
func tally(text string) map[string]int {
	count := map[string]int{}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '.' && r != '$' && r != '!' && r != '?' && r != '●'
	}) {
		if word = strings.Trim(word, "."); word != "" {
			count[word]++
		}
	}
	return count
}

// Every table fits 80 columns and loses nothing: no line is longer, and every word and
// number of the table as it goes through a pipe, where nothing gives way, stands there too.
func TestTablesFitATerminalAndLoseNothing(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "demo")
	if _, status, said := runAt(t, "", "demo", folder); status != 0 {
		t.Fatal(said)
	}
	// UNIT is one of the property's.
	commands := []string{"units", "burns", "plans", "show", "due", "due --on 2027-03-20", "calendar 2027", "tasks", "tasks UNIT", "card", "card UNIT", "why UNIT", "compare 1 1",
		"places", "neighbors", "breaks", "breaks --pairs", "breaks --standing", "contacts", "contract", "changes", "missed", "week", "onsite UNIT", "prescription",
		"weather", "weather days", "weather chance", "weather limits", "weather compare", "record history 1", "now UNIT --temp 60 --rh 40 --wind 8 --from NNW"}
	units := map[string]string{"tamsel-bend": "School Prairie", "pennywhistle-place": "Barn Patch", "nine-gate": ""}
	tables := 0
	for property, unit := range units {
		path := filepath.Join(folder, property, property+extension)
		if unit == "" {
			list, _, _ := runAt(t, "", "units", "--csv", "--property", path)
			unit, _, _ = strings.Cut(strings.Split(list, "\r\n")[1], ",")
		}
		for _, command := range commands {
			args := strings.Fields(command)
			for i := range args {
				if args[i] == "UNIT" {
					args[i] = unit
				}
			}
			args = append(args, "--property", path)
			wide, status, said := runAt(t, "", args...)
			if strings.Contains(said, "fault of the program") {
				t.Fatalf("%s: %s", command, said)
			}
			if status != 0 && status != 1 { // 1 is "no" in an answer
				if property == "tamsel-bend" {
					t.Errorf("%s, %s: status %d: %s", property, command, status, said)
				}
				continue
			}
			for _, width := range []string{"80", "120"} {
				narrow, _, _ := runAt(t, width, args...)
				most := map[string]int{"80": 80, "120": 120}[width]
				for line := range strings.SplitSeq(narrow, "\n") {
					if n := cells(t, line); n > most {
						t.Errorf("%s, %s: a line of %d columns in %s: %s", property, command, n, width, line)
					}
				}
				if strings.Contains(narrow, "…") && !strings.Contains(wide, "…") {
					t.Errorf("%s, %s: something was cut in %s columns", property, command, width)
				}
				has, isOnce := tally(narrow), strings.Contains(narrow, "In all rows: ")
				for word, n := range tally(wide) {
					hasDigit := strings.ContainsFunc(word, unicode.IsDigit)
					switch {
					case has[word] == 0:
						t.Errorf("%s, %s: %q is lost in %s columns", property, command, word, width)
					case hasDigit && !isOnce && has[word] < n:
						t.Errorf("%s, %s: %q stands %d times in %s columns, %d in a pipe", property, command, word, has[word], width, n)
					}
				}
			}
			if strings.Contains(wide, "───") {
				tables++
			}
		}
	}
	if tables < 50 {
		t.Errorf("only %d tables were looked at", tables)
	}

	// Every command that prints a table, which each can as CSV too, is among them.
	apart := map[string]string{
		"plan":     "prints the table of show",
		"forecast": "needs a document of the day",
		"clients":  "asks a folder; the table is written by the writer of the others",
		"windows":  "needs files alone; its tables are those of months and years, five columns wide",
		"rehearse": "plays futures; its table is tested in report/table",
	}
	var walk func(cmd *cobra.Command)
	a := &terminal{Program: Program{Getenv: func(string) string { return "" }}}
	walk = func(cmd *cobra.Command) {
		_, name, _ := strings.Cut(cmd.CommandPath(), " ")
		flag := cmd.Flags().Lookup("csv")
		if flag != nil && flag.Value.Type() == "bool" && apart[name] == "" &&
			!slices.ContainsFunc(commands, func(c string) bool { return c == name || strings.HasPrefix(c, name+" ") }) {
			t.Errorf("%s prints a table and is not looked at", name)
		}
		for _, sub := range cmd.Commands() {
			walk(sub)
		}
	}
	walk(a.root())
}
