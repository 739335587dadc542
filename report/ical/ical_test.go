package ical

import (
	"bytes"
	"cmp"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

var update = flag.Bool("update", false, "rewrite golden files")

var madeAt = time.Date(2026, 11, 25, 8, 30, 0, 0, time.UTC)

// calendar gives the calendar of a plan that has never been published.
func calendar(t testing.TB, plan *view.Plan) (*view.Agenda, []byte) {
	t.Helper()
	v, text, _ := published(t, plan, view.AgendaSelection{LastTasks: 2028}, nil, madeAt)
	return v, text
}

// published gives the calendar of a plan, and what is remembered after it, of what was
// remembered before.
func published(t testing.TB, plan *view.Plan, selection view.AgendaSelection, said []habitat.PublishedEvent, at time.Time) (*view.Agenda, []byte, []habitat.PublishedEvent) {
	t.Helper()
	v, err := view.NewAgenda(sample.Season(plan), selection)
	if err != nil {
		t.Fatal(err)
	}
	said = slices.Clone(said)
	for _, e := range v.Publish(said, at, sample.Today) {
		i := slices.IndexFunc(said, func(o habitat.PublishedEvent) bool {
			return o.Unit == e.Unit && o.Year == e.Year && o.Kind == e.Kind && o.Name == e.Name
		})
		if i < 0 {
			said = append(said, e)
		} else {
			said[i] = e
		}
	}
	var b bytes.Buffer
	if err := Write(&b, v); err != nil {
		t.Fatal(err)
	}
	return v, b.Bytes(), said
}

func TestCalendarGolden(t *testing.T) {
	v, _ := calendar(t, sample.Terrace())
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
		v, got := calendar(t, plan)
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
	first, _ := calendar(t, sample.Terrace())
	moved := sample.Terrace()
	moved.Property.Seasons[0].Span.First.Dom = 20
	moved.Stamp.On = date.MustDay(2026, time.December, 1)
	second, _ := calendar(t, moved)
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

type readBack struct {
	UID, Start, End, Summary string
	Sequence                 int
	Stamp, Status            string
}

func written(v *view.Agenda) []readBack {
	var all []readBack
	for _, e := range v.Events {
		status := "CONFIRMED"
		if e.Kind == view.WindowEvent {
			status = "TENTATIVE"
		}
		if e.Canceled {
			status = "CANCELLED"
		}
		all = append(all, readBack{e.UID, e.First.String(), e.Last.AddDays(1).String(), clean(e.Summary, longestSummary), e.Sequence, e.At.Format("2006-01-02T15:04:05Z"), status})
	}
	slices.SortFunc(all, func(a, b readBack) int { return cmp.Compare(a.UID, b.UID) })
	return all
}

// readers are the libraries of other people that read calendars back, each a command
// that takes files: ical.js 2 and python3-icalendar.
func readers(t *testing.T) map[string][]string {
	all := map[string][]string{}
	if os.Getenv("EMBERQUILT_NODE") != "" {
		all["ical.js"] = []string{"node", "../../.ci/node/calendar.mjs"}
	}
	if exec.Command("/usr/bin/python3", "-c", "import icalendar").Run() == nil {
		all["python3-icalendar"] = []string{"/usr/bin/python3", "../../.ci/events.py"}
	}
	if len(all) == 0 {
		t.Skip("neither EMBERQUILT_NODE with ical.js nor python3-icalendar is here: the calendar is not read back")
	}
	return all
}

// follow lets a library read calendars one after the other, as a calendar that follows
// the property does, and gives what it then shows.
func follow(t *testing.T, command []string, texts ...[]byte) []readBack {
	t.Helper()
	for i, text := range texts {
		path := filepath.Join(t.TempDir(), fmt.Sprintf("calendar-%d.ics", i))
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
		command = append(slices.Clone(command), path)
	}
	out, err := exec.Command(command[0], command[1:]...).Output()
	if err != nil {
		t.Fatalf("%q: %v", command, err)
	}
	var got []readBack
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(got, func(a, b readBack) int { return cmp.Compare(a.UID, b.UID) })
	return got
}

// Two libraries that nobody here wrote read the calendar back.
func TestReadBackByOthers(t *testing.T) {
	for library, command := range readers(t) {
		for name, plan := range map[string]*view.Plan{"sample": sample.Terrace(), "hostile": sample.Hostile()} {
			v, text := calendar(t, plan)
			if diff := gocmp.Diff(written(v), follow(t, command, text)); diff != "" {
				t.Errorf("%s, %s: written and read differ\n%s", name, library, diff)
			}
		}
	}
}

// replanned gives the sample's plan with one burn dropped, one moved to another season
// and one added.
func replanned() (plan *view.Plan, dropped, moved string) {
	plan = sample.Terrace()
	dropped, moved = "Sandbar", ""
	plan.Answer = sample.Other(plan, dropped, 2027).Answer
	for i := range plan.Answer.Burns {
		b := &plan.Answer.Burns[i]
		if unit := plan.Problem.Units[b.Unit]; b.Year == 2028 && b.Season == 0 && unit.Penalty[1] >= 0 {
			b.Season, moved = 1, unit.ID
			break
		}
	}
	return plan, dropped, moved
}

// A calendar that imports the files before and after a new plan shows what the new plan
// has and nothing else: what moved is moved, what fell out is gone, what is new is there.
// What did not change keeps its sequence and its time.
func TestFollowedByOthers(t *testing.T) {
	selection := view.AgendaSelection{LastTasks: 2028}
	first, before, said := published(t, sample.Terrace(), selection, nil, madeAt)
	plan, dropped, moved := replanned()
	second, after, _ := published(t, plan, selection, said, madeAt.AddDate(0, 0, 9))
	byUID := map[string]view.Event{}
	for _, e := range first.Events {
		byUID[e.UID] = e
	}
	changed, same := map[string]int{}, 0
	for _, e := range second.Events {
		was, known := byUID[e.UID]
		delete(byUID, e.UID)
		switch {
		case !known:
			changed["new"]++
		case e.Canceled:
			changed["canceled"]++
			if e.Unit != dropped && e.Unit != moved || e.Sequence != was.Sequence+1 {
				t.Errorf("canceled: %s, sequence %d after %d", e.Summary, e.Sequence, was.Sequence)
			}
		case e.First != was.First || e.Last != was.Last || e.Summary != was.Summary:
			changed["moved"]++
			if e.Unit != moved || e.Sequence != was.Sequence+1 || !e.At.After(was.At) {
				t.Errorf("moved: %s, sequence %d after %d", e.Summary, e.Sequence, was.Sequence)
			}
		default:
			same++
			if e.Sequence != was.Sequence || !e.At.Equal(was.At) {
				t.Errorf("%s did not change, but its sequence is %d after %d", e.Summary, e.Sequence, was.Sequence)
			}
		}
	}
	if changed["canceled"] == 0 || changed["moved"] == 0 || same < 100 {
		t.Errorf("%v, %d the same: too few to say anything", changed, same)
	}
	for _, e := range byUID {
		if !e.Last.Before(sample.Today) {
			t.Errorf("%s is neither there nor canceled", e.Summary)
		}
	}
	var want []readBack
	for _, e := range written(second) {
		if e.Status != "CANCELLED" {
			want = append(want, e)
		}
	}
	for _, e := range first.Events { // what is over stays as it was
		if slices.ContainsFunc(second.Events, func(o view.Event) bool { return o.UID == e.UID }) {
			continue
		}
		want = append(want, written(&view.Agenda{Events: []view.Event{e}})...)
	}
	slices.SortFunc(want, func(a, b readBack) int { return cmp.Compare(a.UID, b.UID) })
	for library, command := range readers(t) {
		if diff := gocmp.Diff(want, follow(t, command, before, after)); diff != "" {
			t.Errorf("%s shows other events than the plan has\n%s", library, diff)
		}
		// The old file, imported again by mistake, changes nothing.
		if diff := gocmp.Diff(want, follow(t, command, before, after, before)); diff != "" {
			t.Errorf("%s takes the older file\n%s", library, diff)
		}
		if fresh, text := calendar(t, plan); gocmp.Diff(want, follow(t, command, before, text)) == "" {
			t.Errorf("%s: a calendar of %d events that remembers nothing does as well: the check cannot fail", library, len(fresh.Events))
		}
	}
}

// Two files never say two things of one event under one sequence, also not of one that no
// longer holds: a unit whose burn fell out of the plan burns all the same.
func TestOneSequenceSaysOneThing(t *testing.T) {
	selection := view.AgendaSelection{LastTasks: 2028}
	_, _, said := published(t, sample.Terrace(), selection, nil, madeAt)
	plan, dropped, _ := replanned()
	second, _, said := published(t, plan, selection, said, madeAt.AddDate(0, 0, 9))
	burned, _, _ := replanned()
	burned.Records = append(slices.Clone(burned.Records), habitat.BurnRecord{ID: 9999, Unit: dropped, Kind: habitat.Prescribed, On: sample.Today.AddDays(-1), Through: sample.Today.AddDays(-1)})
	third, _, said := published(t, burned, selection, said, madeAt.AddDate(0, 0, 12))
	again, _, _ := published(t, burned, selection, said, madeAt.AddDate(0, 0, 15))
	before := map[string]view.Event{}
	for _, e := range second.Events {
		before[e.UID] = e
	}
	reworded := 0
	for _, e := range third.Events {
		was, known := before[e.UID]
		if !known || !e.Canceled || !was.Canceled {
			continue
		}
		switch isSame := slices.Equal(e.Description, was.Description); {
		case isSame && e.Sequence != was.Sequence:
			t.Errorf("%s says the same, but its sequence is %d after %d", e.Summary, e.Sequence, was.Sequence)
		case !isSame && (e.Sequence != was.Sequence+1 || !e.At.After(was.At)):
			t.Errorf("%s says %q after %q, but its sequence is %d after %d", e.Summary, e.Description, was.Description, e.Sequence, was.Sequence)
		case !isSame:
			reworded++
		}
	}
	if reworded == 0 {
		t.Error("no event that no longer holds says another thing: the check cannot fail")
	}
	for i, e := range again.Events {
		if was := third.Events[i]; e.UID != was.UID || e.Sequence != was.Sequence || !e.At.Equal(was.At) {
			t.Errorf("%s did not change, but its sequence is %d after %d", e.Summary, e.Sequence, was.Sequence)
		}
	}
}

// The calendar of a thousand units over twenty years.
func BenchmarkWriteLarge(b *testing.B) {
	plan := sample.Large(42, 20)
	season := sample.Season(plan)
	for b.Loop() {
		v, err := view.NewAgenda(season, view.AgendaSelection{LastTasks: 2028})
		if err != nil {
			b.Fatal(err)
		}
		v.Publish(nil, madeAt, sample.Today)
		var text bytes.Buffer
		if err := Write(&text, v); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(text.Len())/1e6, "MB")
		b.ReportMetric(float64(len(v.Events)), "events")
		b.ReportMetric(float64(len(plan.Problem.Units)), "units")
	}
}
