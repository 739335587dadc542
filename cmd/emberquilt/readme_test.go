package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/cli"
)

// readme is what the README tells its reader to type.
type readme struct {
	blocks []string // code blocks, without their fences
	table  []string // commands in backquotes of the table of what else there is
}

func readReadme(t *testing.T) (r readme) {
	t.Helper()
	data, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(string(data), "\n```")
	for i := 1; i < len(parts); i += 2 {
		r.blocks = append(r.blocks, strings.TrimPrefix(parts[i], "\n"))
	}
	_, rest, found := strings.Cut(string(data), "\n| you want | command |\n")
	if !found {
		t.Fatal("the README has no table of commands")
	}
	table, _, _ := strings.Cut(rest, "\n\n")
	for _, row := range strings.Split(table, "\n")[1:] {
		cells := strings.Split(row, " | ")
		for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(cells[len(cells)-1], -1) {
			r.table = append(r.table, m[1])
		}
	}
	return r
}

// typed splits a line of a shell into its words; a comment ends it.
func typed(line string) (words []string) {
	for _, m := range regexp.MustCompile(`"([^"]*)"|(#.*)|(\S+)`).FindAllStringSubmatch(line, -1) {
		if m[2] != "" {
			break
		}
		words = append(words, m[1]+m[3])
	}
	return words
}

// doIn runs a command in a folder, which no other test of this process may do at the
// same time, and gives its status and its two streams.
func doIn(t *testing.T, folder string, args ...string) (status int, out, errs string) {
	t.Helper()
	t.Chdir(folder)
	var o, e bytes.Buffer
	p := cli.Program{Args: append([]string{"--today", "2026-11-25"}, args...), In: strings.NewReader(""), Out: &o, Err: &e, Now: time.Now,
		Getenv: func(name string) string {
			return map[string]string{"XDG_CONFIG_HOME": filepath.Join(folder, "of-this-machine")}[name]
		}}
	return p.Run(context.Background()), o.String(), e.String()
}

// The ten lines of the README, typed as they stand, with the lists of its example.
func TestReadmeBeginsAsItSays(t *testing.T) {
	r := readReadme(t)
	folder := t.TempDir()
	for _, name := range []string{"units.csv", "burns.csv", "pairs.csv"} {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "oak-hill", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	at := slices.IndexFunc(r.blocks, func(b string) bool { return strings.HasPrefix(b, "emberquilt settings --example") })
	if at < 0 {
		t.Fatal("the README does not begin with the example settings")
	}
	lines := strings.Split(r.blocks[at], "\n")
	if len(lines) < 8 {
		t.Fatalf("%d lines", len(lines))
	}
	for _, line := range lines {
		words := typed(line)
		into := ""
		if i := slices.Index(words, ">"); i > 0 {
			into, words = words[i+1], words[:i]
		}
		status, out, errs := doIn(t, folder, words[1:]...)
		if status != 0 {
			t.Fatalf("%s: status %d\n%s", line, status, errs)
		}
		if into != "" {
			if err := os.WriteFile(filepath.Join(folder, into), []byte(out), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, err := os.Stat(filepath.Join(folder, "program-book.html")); err != nil {
		t.Error(err)
	}
}

// Each command of the README's table runs on a property of the demo, with something
// in place of the words in capitals.
func TestReadmeTableRuns(t *testing.T) {
	table := readReadme(t).table
	folder := t.TempDir()
	if status, _, errs := doIn(t, folder, "demo", "demo"); status != 0 {
		t.Fatal(errs)
	}
	landowner, client := filepath.Join(folder, "demo", "pennywhistle-place"), filepath.Join(folder, "demo", "nine-gate")
	unit := ""
	if status, out, errs := doIn(t, landowner, "units", "--csv"); status != 0 {
		t.Fatal(errs)
	} else {
		unit, _, _ = strings.Cut(strings.Split(out, "\n")[1], ",")
	}
	// What needs a person, a network port or a file that the demo has not shows its
	// help; everything else does its work.
	as := map[string]string{
		"weather STATION-FILES…":                         "weather ../invented-weather-far-ridge.csv",
		"plan --burn-days":                               "plan --burn-days 4",
		"packet --all FOLDER":                            "packet --all .. --replace",
		"record sheet FILE":                              "record sheet sheet-to-fill-in.xlsx",
		"record correct N":                               "record correct 1 --because checked --notes seen",
		"calendar --output FILE":                         "calendar --output of-the-test.ics",
		"seal export FILE":                               "seal export kept-seals",
		"verify --seals FILE":                            "verify --seals kept-seals",
		"verify --stamp 'change 5 (b9dd05c4)'":           "verify",
		"backup FILE":                                    "backup ../../spare.emberquilt",
		"sheet --season NAME":                            "sheet --season spring",
		"rehearse":                                       "rehearse --futures 10",
		"plan --rehearse":                                "plan --rehearse --futures 10",
		"rehearse --rule poor --rule median+second-crew": "rehearse --rule poor --rule median+second-crew --futures 10",
	}
	for _, only := range []string{"forecast DOCUMENT --unit UNIT", "now UNIT --forecast DOCUMENT --at 13:30", "tasks done UNIT YEAR TASK", "split", "merge", "rename", "retire", "own", "delete", "record",
		"import FILE", "record UNIT DATE --shape FILE", "record files", "fix", "discard 3", "contract done", "page", "page FOLDER"} {
		as[only] = strings.TrimSpace(regexp.MustCompile(`[A-Z0-9-].*`).ReplaceAllString(only, "")) + " --help"
	}
	place := map[string]string{"UNIT": unit, "YEAR": "2028", "DATE": "2026-11-10", "CHANGE": "2026-11-25", "N": "1", "NAME": "A. Baker", "FOLDER": ".."}
	_, help, _ := doIn(t, folder, "--help")
	known := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^  ([a-z]+) +[A-Z]`).FindAllStringSubmatch(help, -1) {
		known[m[1]] = true
	}
	ran := 0
	for _, command := range table {
		text := command
		if other, ok := as[command]; ok {
			text = other
			delete(as, command)
		}
		var args []string
		for _, word := range regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(text, -1) {
			if other, ok := place[word]; ok {
				word = other
			}
			args = append(args, strings.Trim(word, `"`))
		}
		if !known[args[0]] {
			continue // a column, a value
		}
		in := landowner
		if args[0] == "contract" || args[0] == "packet" {
			in = client
		}
		ran++
		status, out, errs := doIn(t, in, args...)
		if args[0] == "now" && status == 1 && strings.Contains(out, unit) {
			status = 0 // the answer is no
		}
		if status != 0 || out+errs == "" {
			t.Errorf("%s (as %q): status %d\n%s", command, args, status, errs)
		}
	}
	for command := range as {
		t.Errorf("%s does not stand in the README's table any more", command)
	}
	if ran < 50 {
		t.Errorf("only %d commands ran", ran)
	}
}
