package app

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"emberquilt/habitat/county"
	"emberquilt/habitat/source"
)

// TestFirstRunAsksWhatItCanTake answers every question with its usual answer, what
// the example says, and what must be refused.
func TestFirstRunAsksWhatItCanTake(t *testing.T) {
	f := NewFirstRun("oak-hill")
	if err := f.AnswerAll(ExampleAnswers(), "answers.txt"); err != nil {
		t.Fatal(err)
	}
	for _, q := range f.Questions() {
		if q.Asks == "" || q.About == "" {
			t.Errorf("%s: a question without words", q.Key)
		}
		if q.Usual != "" && !q.Repeats {
			if err := f.Answer(q.Key, q.Usual); err != nil {
				t.Errorf("%s: its own usual answer is refused: %v", q.Key, err)
			}
		}
		for _, choice := range q.Choices {
			if err := f.Answer(q.Key, choice); err != nil {
				t.Errorf("%s: its own choice is refused: %v", q.Key, err)
			}
		}
	}
	for key, bad := range map[string]string{
		askWhere: "99, 300", askClock: "Chicago", askSeasons: "spring 03-01 to 13-01", askBurnDays: "-1", askAcres: "-4", askUnburned: "120%",
		askPeople: "0", askWeekends: "perhaps", askEvery: "5-2", askPatch: "Creek, 9 acres, soon", askPlace: "barn, 91, 0", askContact: ",,",
		askPrescription: "mine", askWeather: "nothing.epw", "seasn": "x",
	} {
		if err := f.Answer(key, bad); err == nil {
			t.Errorf("%s: %q is taken", key, bad)
		}
	}
	if err := f.Answer(askSeasons, "spring 03-01 to 04-30; late 04-15 to 05-10"); err == nil {
		t.Error("seasons that overlap are taken")
	}
	for _, share := range []struct {
		said string
		want float64
	}{{"half", 0.5}, {"40%", 0.4}, {"none", 0}, {"0.25", 0.25}} {
		if err := f.Answer(askUnburned, share.said); err != nil || float64(f.unburned) != share.want {
			t.Errorf("%s: %v, %v", share.said, f.unburned, err)
		}
	}
	d, err := f.Draft(on("2026-11-25"))
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(d.Says, "\n"); !strings.Contains(got, "3 patches, 49.5 acres") || d.Property.Zone != "America/Chicago" {
		t.Errorf("%s\n%s", got, d.Property.Zone)
	}
}

// TestFirstRunHoldsThePlaceAgainstThePatches gives a place far from where the patches
// lie, and one that their shapes make exact.
func TestFirstRunHoldsThePlaceAgainstThePatches(t *testing.T) {
	patches := filepath.Join("..", "..", "..", "testdata", "demo", "nine-gate", "units.geojson")
	run := func(where string) (*FirstDraft, error) {
		f := NewFirstRun("oak")
		if err := f.Answer(askWhere, where); err != nil {
			t.Fatal(err)
		}
		if err := f.Answer(askSeasons, "dormant 11-15 to 03-15; late-summer 08-01 to 09-15"); err != nil {
			t.Fatal(err)
		}
		if err := f.Answer(askPatch, patches); err != nil {
			t.Fatal(err)
		}
		return f.Draft(on("2026-11-25"))
	}
	itself, err := run(patches)
	if err != nil {
		t.Fatal(err)
	}
	near, miles := county.Nearest(itself.Property.Latitude, itself.Property.Longitude)
	if miles > 30 {
		t.Fatalf("%s is %.0f miles off", near, miles)
	}
	exact, err := run(near.String())
	if err != nil {
		t.Fatal(err)
	}
	if exact.Property.Latitude != itself.Property.Latitude || exact.Property.Longitude != itself.Property.Longitude || exact.Property.Place != near.String() || !strings.Contains(exact.Says[0], "by the shapes of") {
		t.Errorf("%+v\n%s", exact.Property, exact.Says[0])
	}
	for _, far := range []string{"Lake County, Oregon", fmt.Sprintf("%.2f, %.2f", itself.Property.Latitude+1, itself.Property.Longitude)} {
		_, err := run(far)
		if err == nil || !strings.Contains(err.Error(), "miles from the patches of") || !strings.Contains(err.Error(), near.String()) {
			t.Errorf("%s: %v", far, err)
		}
	}
}

// TestFirstRunLeavesNothingHalfway stops in the middle of the first plan.
func TestFirstRunLeavesNothingHalfway(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "oak.emberquilt")
	f := NewFirstRun("oak")
	if err := f.AnswerAll(ExampleAnswers(), "answers.txt"); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	from := on("2026-11-25")
	from.Progress = func(p Progress) {
		if p.Doing == "solving" {
			stop()
		}
	}
	d, err := f.Draft(from)
	if err != nil {
		t.Fatal(err)
	}
	var stopped *Interrupted
	if _, err := d.Begin(ctx, path, from); !errors.As(err, &stopped) {
		t.Errorf("stopped: %v", err)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) != 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
	from.Progress = nil
	b, err := d.Begin(context.Background(), path, from)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if left, err := os.ReadDir(folder); err != nil || len(left) != 1 || len(b.Units) != 3 || len(b.Plans) != 1 {
		t.Errorf("made: %v, %v, %d units, %d plans", left, err, len(b.Units), len(b.Plans))
	}
	// By default no year burns everything.
	for year, acres := range burnedByYear(b) {
		if acres > 0.5*49.5+1e-9 {
			t.Errorf("%d burns %v acres of 49.5", year, acres)
		}
	}
	if _, err := d.Begin(context.Background(), path, from); !source.Is(err) {
		t.Errorf("a name that is taken: %v", err)
	}
}

func burnedByYear(b *Begun) map[int]float64 {
	acres := map[int]float64{}
	for _, burn := range b.Plan.Burns() {
		u, err := FindUnit(b.Snapshot, burn.Unit)
		if err == nil {
			acres[int(burn.Year)] += float64(u.Acres)
		}
	}
	return acres
}

// What import reads as a file, a first run does not take for a typed patch.
func TestFilesAreToldFromTypedPatches(t *testing.T) {
	for answer, want := range map[string]bool{
		"patches.kml": true, "Patches.GPKG": true, "lines.geojsonl": true, "records.geojsons": true, "my patches.zip": true, "list.xlsx": true,
		"Creek, 18 acres, every 2-3 years": false, "St. Mary": false,
	} {
		if isFileName(answer) != want {
			t.Errorf("%q is a file: %v", answer, !want)
		}
	}
}

// A text above 1 MB is no answers file, wherever it ends; one of just 1 MB is read.
func TestAnswersHaveALimit(t *testing.T) {
	text := ExampleAnswers()
	text += strings.Repeat("#", MaxAnswers-len(text))
	if err := NewFirstRun("").AnswerAll(text, "answers.txt"); err != nil {
		t.Errorf("1 MB: %v", err)
	}
	want := "answers.txt: is larger than 1 MB; accepts an answers file, as emberquilt new --example prints one"
	if err := NewFirstRun("").AnswerAll(text+"#", "answers.txt"); err == nil || err.Error() != want {
		t.Errorf("a byte more: %v; want %s", err, want)
	}
}

// The work for a typed patch does not grow with the patches before it: twice as many take
// about twice the memory, where each copied all before and read the starters twice.
func TestManyTypedPatches(t *testing.T) {
	allocated := func(patches int) uint64 {
		var text strings.Builder
		for i := range patches {
			fmt.Fprintf(&text, "patch: P%d, 5 acres\n", i)
		}
		f := NewFirstRun("x")
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if err := f.AnswerAll(text.String(), "answers.txt"); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		if err := f.AnswerAll("patch: p0, 5 acres", "answers.txt"); err == nil || !strings.Contains(err.Error(), "is there already") {
			t.Errorf("the same patch again: %v", err)
		}
		if err := f.AnswerAll("patch: P0 and more, 5 acres", "answers.txt"); err != nil {
			t.Error(err)
		}
		return after.TotalAlloc - before.TotalAlloc
	}
	allocated(10)
	few, many := allocated(300), allocated(600)
	t.Logf("300 patches take %d bytes, 600 take %d", few, many)
	if each := many / 600; float64(many) > 2.2*float64(few) || each > 100_000 {
		t.Errorf("300 patches take %d bytes, 600 take %d: %d each", few, many, each)
	}
}
