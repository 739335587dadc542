package ical

import (
	"bytes"
	"cmp"
	"encoding/json"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

var update = flag.Bool("update", false, "rewrite golden files")

var madeAt = time.Date(2026, 11, 25, 8, 30, 0, 0, time.UTC)

func calendar(t *testing.T, plan *view.Plan, sequence int) (*view.Agenda, []byte) {
	t.Helper()
	v, err := view.NewAgenda(sample.Season(plan), madeAt, sequence)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := Write(&b, v); err != nil {
		t.Fatal(err)
	}
	return v, b.Bytes()
}

func TestCalendarGolden(t *testing.T) {
	v, _ := calendar(t, sample.Terrace(), 3)
	v.Events = v.Events[:14] // one burn whole; the file of all is large
	var b bytes.Buffer
	if err := Write(&b, v); err != nil {
		t.Fatal(err)
	}
	got := b.Bytes()
	path := filepath.Join("testdata", "calendar.ics")
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("calendar.ics differs; run go test ./report/ical -update and look at the difference")
	}
}

// RFC 5545, 3.1: lines end in CR LF and are not longer than 75 octets.
func TestLines(t *testing.T) {
	for name, plan := range map[string]*view.Plan{"sample": sample.Terrace(), "hostile": sample.Hostile()} {
		v, got := calendar(t, plan, 1)
		if faults := lineFaults(got); faults != "" {
			t.Errorf("%s: %s", name, faults)
		}
		if begun := bytes.Count(got, []byte("\r\nBEGIN:VEVENT\r\n")); begun != len(v.Events) || len(v.Events) < 40 {
			t.Errorf("%s: %d events begin, %d were written", name, begun, len(v.Events))
		}
		alarms := 0
		for _, e := range v.Events {
			if e.AlarmDays > 0 {
				alarms++
			}
		}
		if begun := bytes.Count(got, []byte("BEGIN:VALARM\r\n")); begun != alarms {
			t.Errorf("%s: %d alarms begin, %d were written", name, begun, alarms)
		}
	}
	for _, bad := range []string{"A:b\nC:d\r\n", strings.Repeat("x", 76) + "\r\n", "A:b\r\n\r\n"} {
		if lineFaults([]byte(bad)) == "" {
			t.Errorf("%q passes: the check cannot fail", bad)
		}
	}
}

func lineFaults(text []byte) string {
	for i, line := range strings.Split(strings.TrimSuffix(string(text), "\r\n"), "\r\n") {
		switch {
		case strings.ContainsAny(line, "\r\n"):
			return "a bare CR or LF in line " + line
		case len(line) > 75:
			return "a long line " + line
		case line == "" && i > 0:
			return "an empty line"
		}
	}
	return ""
}

// Importing again must update: the same UIDs, whatever else has moved.
func TestUIDsAreStable(t *testing.T) {
	first, _ := calendar(t, sample.Terrace(), 1)
	moved := sample.Terrace()
	moved.Property.Seasons[0].Span.First.Dom = 20
	moved.Stamp.On = date.MustDay(2026, time.December, 1)
	second, _ := calendar(t, moved, 2)
	uids := func(v *view.Agenda) []string {
		var all []string
		for _, e := range v.Events {
			if e.Kind != view.WindowEvent {
				all = append(all, e.UID)
			}
		}
		slices.Sort(all)
		return all
	}
	if !slices.Equal(uids(first), uids(second)) {
		t.Error("a moved season changes the UIDs of its tasks")
	}
	seen := map[string]bool{}
	for _, e := range first.Events {
		if seen[e.UID] {
			t.Fatalf("UID %s twice (%s)", e.UID, e.Summary)
		}
		seen[e.UID] = true
	}
	if first.Events[0].UID == second.Events[0].UID && first.Events[0].First == second.Events[0].First {
		t.Error("the season did not move: the check cannot fail")
	}
}

type readBack struct{ UID, Start, End, Summary string }

func written(v *view.Agenda) []readBack {
	var all []readBack
	for _, e := range v.Events {
		all = append(all, readBack{e.UID, e.First.String(), e.Last.AddDays(1).String(), clean(e.Summary, longestSummary)})
	}
	return all
}

// Two libraries that nobody here wrote read the calendar back: ical.js 2 and
// python3-icalendar.
func TestReadBackByOthers(t *testing.T) {
	readers := map[string][]string{}
	if os.Getenv("EMBERQUILT_NODE") != "" {
		readers["ical.js"] = []string{"node", "../../.ci/node/calendar.mjs"}
	}
	if exec.Command("/usr/bin/python3", "-c", "import icalendar").Run() == nil {
		readers["python3-icalendar"] = []string{"/usr/bin/python3", "../../.ci/events.py"}
	}
	if len(readers) == 0 {
		t.Skip("neither EMBERQUILT_NODE with ical.js nor python3-icalendar is here: the calendar is not read back")
	}
	for name, plan := range map[string]*view.Plan{"sample": sample.Terrace(), "hostile": sample.Hostile()} {
		v, text := calendar(t, plan, 4)
		path := filepath.Join(t.TempDir(), "calendar.ics")
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
		for library, command := range readers {
			out, err := exec.Command(command[0], append(command[1:], path)...).Output()
			if err != nil {
				t.Errorf("%s, %s: %v", name, library, err)
				continue
			}
			var got []readBack
			if err := json.Unmarshal(out, &got); err != nil {
				t.Fatal(err)
			}
			want := written(v)
			for _, list := range [][]readBack{got, want} {
				slices.SortFunc(list, func(a, b readBack) int { return cmp.Compare(a.UID, b.UID) })
			}
			if !slices.Equal(got, want) {
				for i := range min(len(got), len(want)) {
					if got[i] != want[i] {
						t.Errorf("%s, %s: read %q, wrote %q", name, library, got[i], want[i])
						break
					}
				}
				t.Errorf("%s, %s: %d events read, %d written", name, library, len(got), len(want))
			}
		}
	}
}
