package app

import (
	"context"
	"errors"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/list"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/store"
	"emberquilt/testdata/demo"
)

func TestRecordAndCorrect(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	unit := s.Units[0]
	day := date.MustDay(2026, time.November, 20)
	acres, crew := unit.Acres, "Ida and Per"
	noted, err := s.RecordBurn(ctx, strings.ToUpper(unit.ID), day, BurnChange{Acres: &acres, Crew: &crew}, false)
	if err != nil {
		t.Fatal(err)
	}
	if r := noted.Record; r.ID == 0 || r.Unit != unit.ID || r.Through != day || r.Kind != habitat.Prescribed || !r.HasAcres || noted.Year != 2027 || !strings.Contains(noted.Words(), "outside the seasons") || !noted.Resets || noted.LaterReset != 0 {
		t.Errorf("%+v", noted)
	}
	id := noted.Record.ID
	// The same burn once more, and one whose days overlap.
	var same *store.SameBurn
	if _, err := s.RecordBurn(ctx, unit.ID, day, BurnChange{}, false); !errors.As(err, &same) {
		t.Errorf("the same burn: %v", err)
	}
	early := day.AddDays(-1)
	long := BurnChange{Through: &day}
	var overlap *OverlapError
	if _, err := s.RecordBurn(ctx, unit.ID, early, long, false); !errors.As(err, &overlap) || overlap.Other.ID != id {
		t.Errorf("a burn whose days overlap: %v", err)
	}
	count := len(s.Records)
	if _, err := s.RecordBurn(ctx, unit.ID, early, long, true); err != nil || len(s.Records) != count+1 {
		t.Errorf("a fire of its own: %v, %d records", err, len(s.Records))
	}
	attempt := habitat.Attempt
	if noted, err := s.RecordBurn(ctx, unit.ID, early, BurnChange{Kind: &attempt}, false); err != nil || noted.Resets && noted.LaterReset == 0 && noted.Record.Kind != attempt {
		t.Errorf("an attempt before the burn: %+v %v", noted, err)
	}
	// A correction leaves what it does not name, and moves a burn of one day whole.
	moved := day.AddDays(2)
	if noted, err = s.CorrectBurn(ctx, id, BurnChange{On: &moved}, "read the diary"); err != nil || noted.Record.On != moved || noted.Record.Through != moved || noted.Record.Crew != crew {
		t.Errorf("%+v %v", noted, err)
	}
	versions, err := s.BurnHistory(ctx, id)
	if err != nil || len(versions) != 2 || !strings.Contains(versions[1].Reason, "read the diary") {
		t.Fatalf("%+v %v", versions, err)
	}
	if lines := versions[1].Since(&versions[0]); len(lines) != 1 || lines[0] != "date: 2026-11-20 → 2026-11-22" {
		t.Errorf("%q", lines)
	}
	if err := s.WithdrawBurn(ctx, id, "it was the neighbor's"); err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Burn(id); !source.Is(err) {
		t.Errorf("a withdrawn burn is current: %v", err)
	}
	if versions, err = s.BurnHistory(ctx, id); err != nil || len(versions) != 3 || !versions[2].Removed {
		t.Errorf("%+v %v", versions, err)
	}
}

func TestRecordSaysWhatAnOldBurnMeans(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	last := s.Records[len(s.Records)-1]
	for _, r := range s.Records {
		if r.Kind == habitat.Prescribed && r.Through.After(last.Through) {
			last = r
		}
	}
	noted, err := s.RecordBurn(ctx, last.Unit, last.On.AddDays(-800), BurnChange{}, false)
	if err != nil || noted.LaterReset != s.Property.YearOf(last.Through) {
		t.Errorf("%+v %v, want a later burn in %d", noted, err, s.Property.YearOf(last.Through))
	}
}

func TestRecordRefuses(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	unit := &s.Units[0]
	stamp := s.Change.Stamp()
	many, share, kind := unit.Acres*2, quantity.Share(1.5), habitat.RecordKind("picnic")
	for _, test := range []struct {
		option string
		on     date.Day
		change BurnChange
	}{
		{"date", s.Today.AddDays(1), BurnChange{}},
		{"acres", s.Today, BurnChange{Acres: &many}},
		{"consumed", s.Today, BurnChange{Consumed: &share}},
		{"kind", s.Today, BurnChange{Kind: &kind}},
	} {
		if _, err := s.RecordBurn(ctx, unit.ID, test.on, test.change, false); asOption(err) != test.option {
			t.Errorf("%s: %v", test.option, err)
		}
	}
	if _, err := s.RecordBurn(ctx, "nowhere", s.Today, BurnChange{}, false); !source.Is(err) {
		t.Errorf("a unit that is none: %v", err)
	}
	if _, err := s.CorrectBurn(ctx, 9999, BurnChange{}, "x"); !source.Is(err) {
		t.Errorf("a burn that is none: %v", err)
	}
	if _, err := s.CorrectBurn(ctx, s.Records[0].ID, BurnChange{}, ""); asOption(err) != "because" {
		t.Errorf("a correction without a reason: %v", err)
	}
	if err := s.WithdrawBurn(ctx, s.Records[0].ID, ""); asOption(err) != "because" {
		t.Errorf("a withdrawal without a reason: %v", err)
	}
	if s.Change.Stamp() != stamp {
		t.Error("what was refused changed the file")
	}
}

func TestOutlineCountsWithinTheUnit(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	shapes := s.Current().Shapes
	unit, other := s.Units[0].ID, s.Units[len(s.Units)-1].ID
	// The outline of two units: what of it lies within the one counts.
	both := ground.Shape{Polygons: append(append(shapes[unit].Polygons[:0:0], shapes[unit].Polygons...), shapes[other].Polygons...)}
	noted, err := s.RecordBurn(ctx, unit, s.Today, BurnChange{Outline: &Outline{Name: "map", Shape: both}}, false)
	if err != nil {
		t.Fatal(err)
	}
	if want := shapes[unit].Acres(); !noted.Record.HasAcres || noted.Record.Acres < want*0.999 || noted.Record.Acres > want*1.001 {
		t.Errorf("%v acres, the unit has %v", noted.Record.Acres, want)
	}
	for name, shape := range map[string]ground.Shape{"holds no outline": {}, "lies outside": shapes[other]} {
		if _, err := s.RecordBurn(ctx, unit, s.Today.AddDays(-3), BurnChange{Outline: &Outline{Name: "map", Shape: shape}}, false); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestFilesAreWhereTheyWere(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	folder := filepath.Dir(s.Store.Path())
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	var c BurnChange
	for _, name := range []string{"stays.txt", "moves.txt", "changes.txt", "goes.txt"} {
		file, err := s.Attach(write(name, name))
		if err != nil || file.Path != name {
			t.Fatalf("%+v %v", file, err)
		}
		c.Files = append(c.Files, file)
	}
	if _, err := s.Attach(filepath.Join(folder, "missing")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
	if _, err := s.RecordBurn(ctx, s.Units[0].ID, s.Today, c, false); err != nil {
		t.Fatal(err)
	}
	write("archive/moves.txt", "moves.txt")
	os.Remove(filepath.Join(folder, "moves.txt"))
	os.Remove(filepath.Join(folder, "goes.txt"))
	write("changes.txt", "other")
	want := []string{"as it was", "moved: a file with its checksum is now archive/moves.txt", "altered since it was recorded", "gone, or cannot be read"}
	states := s.RecordFiles()
	if len(states) != len(want) {
		t.Fatalf("%+v", states)
	}
	for i, state := range states {
		if state.State != want[i] || state.IsGood != (i == 0) {
			t.Errorf("%+v, want %s", state, want[i])
		}
	}
}

// takeIn imports a file of a demo property.
func takeIn(t *testing.T, s *Session, name, file string) {
	t.Helper()
	data, err := demo.Files.ReadFile(path.Join(name, file))
	if err != nil {
		t.Fatal(err)
	}
	one, err := list.Read(context.Background(), data, file, list.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Import(context.Background(), ImportOptions{Lists: []*list.List{one}, What: file}); err != nil {
		t.Fatal(err)
	}
}

func TestImport(t *testing.T) {
	ctx := context.Background()
	s := property(t, "pennywhistle-place")
	one, err := list.Read(ctx, []byte("unit,min_interval,prescription\n"+s.Units[0].ID+","+strconv.Itoa(s.Units[0].Interval.Min)+",grass in March\n"), "units.csv", list.Options{})
	if err != nil {
		t.Fatal(err)
	}
	stamp := s.Change.Stamp()
	ask := ImportOptions{Lists: []*list.List{one}, What: "units.csv", DryRun: true}
	dry, err := s.Import(ctx, ask)
	if err != nil || dry.IsIdle() || s.Change.Stamp() != stamp {
		t.Fatalf("dry: %+v %v", dry, err)
	}
	if missing := s.MissingPrescriptions(); slices.Contains(missing, "grass in March") {
		t.Errorf("a dry run names %q", missing)
	}
	ask.DryRun = false
	if plan, err := s.Import(ctx, ask); err != nil || len(plan.Changes) != len(dry.Changes) {
		t.Errorf("%+v %v", plan, err)
	}
	if missing := s.MissingPrescriptions(); !slices.Contains(missing, "grass in March") {
		t.Errorf("%q is not loaded", missing)
	}
	if again, err := s.Import(ctx, ask); err != nil || !again.IsIdle() {
		t.Errorf("again: %+v %v", again, err)
	}
}

func TestContractWork(t *testing.T) {
	ctx := context.Background()
	bare := property(t, "pennywhistle-place")
	if _, err := bare.NamePractice(ctx, "", "394", "x", ""); asOption(err) != "contract" {
		t.Errorf("without a contract: %v", err)
	}
	s := property(t, "nine-gate")
	takeIn(t, s, "nine-gate", "contract.csv")
	c := s.Contracts[0]
	burning, other := c.Practices[0].Code, "394"
	c.Practices = append(c.Practices, habitat.Practice{Code: other, Name: "Break", Measure: habitat.InFeet})
	if err := s.update(ctx, "add", func(tx *store.Tx) error { return tx.PutContract(c) }); err != nil || !c.Practices[0].Burns {
		t.Fatalf("%+v %v", c.Practices, err)
	}
	unit := s.Units[0].ID
	done := habitat.Completion{Unit: strings.ToUpper(unit), Practice: other, On: s.Today, Applied: 850}
	if words, err := s.NoteCompletion(ctx, "", done, false); err != nil || !strings.Contains(words, "850") {
		t.Fatalf("%q %v", words, err)
	}
	// Noting it again replaces the amount.
	done.Applied = 900
	if _, err := s.NoteCompletion(ctx, c.Name, done, false); err != nil {
		t.Fatal(err)
	}
	noted := s.Contracts[0].Completions
	if len(noted) != len(c.Completions)+1 || noted[len(noted)-1].Applied != 900 || noted[len(noted)-1].Unit != unit {
		t.Errorf("%+v", noted)
	}
	if _, err := s.NoteCompletion(ctx, "", done, true); err != nil || len(s.Contracts[0].Completions) != len(c.Completions) {
		t.Errorf("%+v %v", s.Contracts[0].Completions, err)
	}
	if _, err := s.NoteCompletion(ctx, "", done, true); !source.Is(err) {
		t.Errorf("taken back twice: %v", err)
	}
	for name, change := range map[string]func(*habitat.Completion){
		"practice of burning": func(d *habitat.Completion) { d.Practice = burning },
		"unknown practice":    func(d *habitat.Completion) { d.Practice = "000" },
		"unknown unit":        func(d *habitat.Completion) { d.Unit = "nowhere" },
	} {
		bad := done
		change(&bad)
		if _, err := s.NoteCompletion(ctx, "", bad, false); !source.Is(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
	future, nothing := done, done
	future.On, nothing.Applied = s.Today.AddDays(1), 0
	if _, err := s.NoteCompletion(ctx, "", future, false); asOption(err) != "date" {
		t.Errorf("in the future: %v", err)
	}
	if _, err := s.NoteCompletion(ctx, "", nothing, false); asOption(err) != "amount" {
		t.Errorf("nothing: %v", err)
	}
	if _, err := s.NoteCompletion(ctx, "no such contract", done, false); asOption(err) != "contract" {
		t.Errorf("a contract that is none: %v", err)
	}
	// With a second contract it must be named.
	second := s.Contracts[0]
	second.Name = "another"
	if err := s.update(ctx, "add", func(tx *store.Tx) error { return tx.PutContract(second) }); err != nil {
		t.Fatal(err)
	}
	var which *WhichContractError
	if _, err := s.NamePractice(ctx, "", other, "Firebreak", ""); !errors.As(err, &which) || len(which.Names) != 2 {
		t.Errorf("of two: %v", err)
	}
	if words, err := s.NamePractice(ctx, "another", other, "Firebreak", "2021-05"); err != nil || !strings.Contains(words, "2021-05") {
		t.Errorf("%q %v", words, err)
	}
}

// What a property file names outside its own folder is not opened, and nothing but a
// regular file is ever read for its checksum.
func TestFilesOfARecordAreOpenedInTheFolderOnly(t *testing.T) {
	outside := t.TempDir()
	folder := filepath.Join(outside, "property")
	if err := os.Mkdir(folder, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{filepath.Join(outside, "secret"), filepath.Join(folder, "photo")} {
		if err := os.WriteFile(path, []byte("same"), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	sum, err := Checksum(filepath.Join(outside, "secret"))
	if err != nil {
		t.Fatal(err)
	}
	search := &fileSearch{folder: folder}
	for path, want := range map[string]string{
		"photo":                         "as it was",
		"../secret.txt":                 "not opened: it lies outside the property file's folder",
		"../../../../../etc/passwd.txt": "not opened: it lies outside the property file's folder",
		filepath.ToSlash(outside) + "/secret.txt": "not opened: it lies outside the property file's folder",
		"../secret": "moved: a file with its checksum is now photo",
	} {
		got := search.states(1, []habitat.Attachment{{Path: path, SHA256: sum}})
		if got[0].State != want || got[0].IsGood != (path == "photo") {
			t.Errorf("%s: %q, good %v; want %q", path, got[0].State, got[0].IsGood, want)
		}
	}
	for _, path := range []string{os.DevNull, folder} {
		if _, err := attach(path, folder); err == nil || !strings.Contains(err.Error(), "no regular file") {
			t.Errorf("attach %s: %v", path, err)
		}
	}
}

// A correction of the first day moves the last day of a burn of one day, and of no
// other.
func TestTheFirstDayMovesTheLastOfOneDayOnly(t *testing.T) {
	first, last, moved := on("2026-11-20").Today, on("2026-11-22").Today, on("2026-11-21").Today
	for _, c := range []struct{ through, want date.Day }{{first, moved}, {last, last}} {
		r := habitat.BurnRecord{On: first, Through: c.through}
		if err := (&BurnChange{On: &moved}).onto(&r, ground.Shape{}); err != nil || r.On != moved || r.Through != c.want {
			t.Errorf("through %s: %s to %s, want %s to %s (%v)", c.through, r.On, r.Through, moved, c.want, err)
		}
	}
}
