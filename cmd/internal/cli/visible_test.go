package cli

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
)

func TestVisibleShowsWhatATerminalWouldObey(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Creek Patch\n\tübung, 18 ac\r\n", "Creek Patch\n\tübung, 18 ac\r\n"},
		{"red \x1b[31m", `red \u001b[31m`},
		{"over\rwritten", `over\u000dwritten`},
		{"right \u202eto left", `right \u202eto left`},
		{"\u2067isolate\u2069", `\u2067isolate\u2069`},
		{"mark \u200f stays", "mark \u200f stays"},
		{"eight bits: \x9b31m", `eight bits: \x9b31m`},
		{"C1 in UTF-8: \u009b", `C1 in UTF-8: \u009b`},
		{"bell\a, delete\x7f", `bell\u0007, delete\u007f`},
	} {
		// However the text is cut, the same comes out.
		for size := 1; size <= len(c.text); size++ {
			var out bytes.Buffer
			v := &visible{to: &out}
			for at := 0; at < len(c.text); at += size {
				part := c.text[at:min(at+size, len(c.text))]
				if n, err := v.Write([]byte(part)); n != len(part) || err != nil {
					t.Fatalf("Write(%q) gives %d, %v", part, n, err)
				}
			}
			v.end()
			if out.String() != c.want {
				t.Fatalf("%q in parts of %d: %q, want %q", c.text, size, out.String(), c.want)
			}
		}
	}
}

func TestVisibleKeepsAJSONDocument(t *testing.T) {
	var out bytes.Buffer
	name := "a\x1b[2J \u202e\u0085 b"
	if err := json.NewEncoder(&visible{to: &out}).Encode(name); err != nil {
		t.Fatal(err)
	}
	var back string
	if err := json.Unmarshal(out.Bytes(), &back); err != nil || back != name {
		t.Errorf("%q comes back as %q, %v", name, back, err)
	}
	if strings.ContainsAny(out.String(), "\x1b\u202e\u0085") {
		t.Errorf("raw characters in %q", out.String())
	}
}

// Colors reach a terminal as control sequences of ours, and nothing that a name holds
// does: neither a sequence of its own nor a character that stands for one of ours.
func TestColorsReachATerminalAndNamesDoNotColor(t *testing.T) {
	path := exampleFile(t)
	list := filepath.Join(filepath.Dir(path), "units.csv")
	text := "unit,acres,min_interval,max_interval,cover\nCreek \ufdd2Patch\ufdd4,18,2,3,tall \ufdd0grass\n"
	if err := os.WriteFile(list, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, status, said := runAt(t, "", "import", list, "--property", path); status != statusDone {
		t.Fatalf("status %d: %s", status, said)
	}
	bare, _, _ := runAt(t, "80", "units", "--property", path)
	if strings.ContainsRune(bare, '\x1b') || !strings.Contains(bare, "Creek \ufffdPatch\ufffd") {
		t.Errorf("without a terminal:\n%q", bare)
	}
	t.Setenv("TERM", "xterm")
	t.Setenv("NO_COLOR", "")
	t.Setenv("CLICOLOR_FORCE", "1")
	colored, _, _ := runAt(t, "80", "units", "--property", path)
	if !strings.Contains(colored, "\x1b[1munit\x1b[m") {
		t.Errorf("no bold title on a terminal:\n%q", colored)
	}
	if without := regexp.MustCompile(`\x1b\[[0-9;]*m`).ReplaceAllString(colored, ""); without != bare {
		t.Errorf("a terminal shows\n%q\nwhere a pipe has\n%q", without, bare)
	}
}

// A file that output is sent to holds what a pipe would.
func TestAFileHoldsNoColors(t *testing.T) {
	path := exampleFile(t)
	to, err := os.Create(filepath.Join(filepath.Dir(path), "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer to.Close()
	p := Program{Args: []string{"contacts", "--property", path}, In: strings.NewReader(""), Out: to, Err: io.Discard, Getenv: func(string) string { return "" }, Now: time.Now}
	if status := p.Run(t.Context()); status != statusDone {
		t.Fatalf("status %d", status)
	}
	text, err := os.ReadFile(to.Name())
	if err != nil {
		t.Fatal(err)
	}
	if piped, _, _ := runAt(t, "", "contacts", "--property", path); string(text) != piped {
		t.Errorf("a file holds\n%q\na pipe\n%q", text, piped)
	}
}

// exampleFile makes a property with the example's settings.
func exampleFile(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "p.emberquilt")
	now := date.MustDay(2026, time.November, 25)
	s, err := app.Create(t.Context(), path, app.ExampleSettings(), app.Environment{Today: now, Moment: now.Time()})
	if err == nil {
		err = s.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return path
}
