package cli

import (
	"bytes"
	"database/sql"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// unsealedWorks are the commands that work on a file whose seals do not hold, and why.
var unsealedWorks = map[string]string{
	"verify": "says what does not hold", "backup": "copies the file as it is", "settings --load": "puts settings in place of broken ones",
	"page": "needs a browser: TestPageRefusesAlteredFiles", "demo": "", "new": "", "me": "", "version": "", "solve": "", "check": "", "windows": "",
}

// TestEveryCommandRefusesAnAlteredFile alters a unit's acres past the program: no command
// shows anything of the file, builds on it, or writes into it, but for those that are
// named. A new command fails here until it is tried.
func TestEveryCommandRefusesAnAlteredFile(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	const path = "p.emberquilt"
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write("units.csv", "unit,acres,min_interval,max_interval,seasons,cost\nCreek Patch,18,1,2,dormant,620\nOak Ridge,36.2,2,3,dormant,1400\n")
	write("contacts.csv", "role,name,phone,when\nfire department,Orrin County,555-0100,the day before\n")
	must := func(args ...string) {
		t.Helper()
		if out, status, said := runAt(t, "", args...); status != 0 {
			t.Fatalf("%v: status %d\n%s%s", args, status, out, said)
		}
	}
	if out, status, said := runAt(t, "", "settings", "--example"); status != 0 {
		t.Fatal(said)
	} else {
		write("p.toml", out)
	}
	must("new", "p", "--settings", "p.toml")
	must("import", "units.csv")
	must("prescription", "--starters")
	must("plan", "--seconds", "1")
	must("record", "Creek Patch", "2026-11-20", "--acres", "18")
	must("send", "sent.zip")

	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	var guard string
	if err := db.QueryRow("SELECT sql FROM sqlite_schema WHERE name = 'unit_version_stays'").Scan(&guard); err != nil {
		t.Fatal(err)
	}
	for _, query := range []string{"DROP TRIGGER unit_version_stays", "UPDATE unit_version SET acres = 17.77 WHERE unit = 'Creek Patch'", guard} {
		if _, err := db.Exec(query); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	altered, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}

	const patch = "Creek Patch"
	tried := map[string]bool{}
	for _, args := range [][]string{
		{"changes"}, {"delete", patch}, {"import", "units.csv"}, {"import", "units.csv", "--dry-run"}, {"merge", patch, "Oak Ridge", "--into", "Both"},
		{"neighbors"}, {"neighbors", "--keep"}, {"own", patch, "--from", "2027-01-01"}, {"places"}, {"prescription"}, {"prescription", "--starters"},
		{"receive", "sent.zip"}, {"rename", patch, "Creek"}, {"retire", patch}, {"seal"}, {"seal", "export", "seals.txt"}, {"send", "again.zip"},
		{"settings"}, {"settings", "--load", "p.toml", "--dry-run"}, {"split", patch, "A=9", "B=9"}, {"units"},
		{"weather"}, {"weather", "use", "x"}, {"weather", "days"}, {"weather", "chance"}, {"weather", "limits"}, {"weather", "compare", "a"},
		{"adopt", "1"}, {"alternatives"}, {"breaks"}, {"compare"}, {"discard", "1"}, {"due"}, {"fix"}, {"fix", patch}, {"lock", patch, "2028", "burn"}, {"unlock", patch, "2028"},
		{"missed"}, {"plan", "--seconds", "1"}, {"plans"}, {"rehearse"}, {"show"}, {"week"}, {"why", patch, "2027"}, {"burns"}, {"card"}, {"card", patch, "--save"},
		{"contacts"}, {"contacts", "--load", "contacts.csv"}, {"contacts", "order", "1"}, {"contacts", "add", "neighbor"}, {"contacts", "set", "1", "--phone", "555-0101"}, {"contacts", "drop", "1"}, {"contract"}, {"contract", "done", patch, "338", "2026-11-20", "18"}, {"contract", "close", "1", "--because", "done"}, {"contract", "early", "credited"},
		{"contract", "amend", "1", "--planned", "9", "--because", "fence"}, {"contract", "cancel", "1", "--because", "sold"}, {"contract", "extend", "1", "--year", "2028", "--because", "rain"},
		{"contract", "file", "contacts.csv"}, {"contract", "hold", "1", "wish"}, {"contract", "move", "1", "--year", "2028", "--because", "rain"}, {"contract", "practice", "338", "--name", "Burning"},
		{"forecast", "forecast.json", "--unit", patch}, {"now", patch, "--temp", "60", "--rh", "40", "--wind", "5", "--from", "N"},
		{"record", patch, "2026-11-22"}, {"record"}, {"record", "correct", "1", "--acres", "17", "--because", "measured"}, {"record", "withdraw", "1", "--because", "error"},
		{"record", "history", "1"}, {"record", "files"}, {"record", "sheet", "sheet.xlsx"}, {"tasks"}, {"tasks", "done", patch, "2027", "x"}, {"tasks", "list"}, {"tasks", "list", "--starters"},
		{"book"}, {"calendar"}, {"calendar", "--output", "x.ics"}, {"clients", "."}, {"draft", patch}, {"export", "x.gpkg"}, {"map"}, {"map", "--field"}, {"onsite", patch},
		{"packet"}, {"packet", "--as-of", "1"}, {"sheet"}, {"tables"}, {"problem"},
	} {
		for n := range args {
			tried[strings.Join(args[:n+1], " ")] = true
		}
		if !slices.Contains(args, ".") {
			args = append(args, "--property", path)
		}
		out, status, said := runAt(t, "", args...)
		if status != 1 || !strings.Contains(out+said, "was altered after it was made") {
			t.Errorf("%v: status %d\n%.500s%.500s", args, status, out, said)
		}
		if strings.Contains(out, "17.77") {
			t.Errorf("%v shows the altered figure:\n%s", args, out)
		}
		if now, err := os.ReadFile(path); err != nil || !bytes.Equal(now, altered) {
			t.Fatalf("%v wrote into the altered file (%v)", args, err)
		}
	}
	left, err := filepath.Glob("*")
	if err != nil || len(left) != 5 {
		t.Errorf("something was written: %v, %v", left, err)
	}
	var lacking func(c *cobra.Command, path string)
	lacking = func(c *cobra.Command, path string) {
		for _, sub := range c.Commands() {
			name := strings.TrimSpace(path + " " + sub.Name())
			if _, works := unsealedWorks[name]; !works && !tried[name] && sub.Name() != "help" && sub.Name() != "completion" {
				t.Errorf("emberquilt %s is not tried on an altered file", name)
			}
			if !slices.Contains([]string{"completion"}, sub.Name()) {
				lacking(sub, name)
			}
		}
	}
	lacking((&terminal{}).root(), "")

	// What works on such a file works, and the file goes on saying that it was altered.
	must("backup", "copy.emberquilt", "--property", path)
	if _, status, said := runAt(t, "", "settings", "--load", "p.toml", "--property", path); status != 0 || !strings.Contains(said, "was altered after it was made") {
		t.Errorf("settings --load: status %d, %s", status, said)
	}
	for range 2 {
		if out, status, _ := runAt(t, "", "verify", "--property", path); status != 1 || !strings.Contains(out, "was altered after it was made") {
			t.Errorf("verify: status %d, %s", status, out)
		}
		write("years.toml", strings.Replace(read(t, "p.toml"), "years = 5", "years = 6", 1))
		must("settings", "--load", "years.toml", "--property", path)
	}
}

func read(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
