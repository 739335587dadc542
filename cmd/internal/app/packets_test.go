package app

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/list"
	"emberquilt/report/view"
	"emberquilt/store"
	"emberquilt/testdata/demo"
)

// contracted is the demo's property with a contract.
func contracted(t *testing.T) *Session {
	t.Helper()
	ctx := context.Background()
	s := property(t, "nine-gate")
	data, err := demo.Files.ReadFile("nine-gate/contract.csv")
	if err != nil {
		t.Fatal(err)
	}
	one, err := list.Read(ctx, data, "contract.csv", list.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Import(ctx, ImportOptions{Lists: []*list.List{one}, What: "contract.csv"}); err != nil {
		t.Fatal(err)
	}
	return s
}

// TestPacketOfTheDemo adds contract.csv and burns.csv up by hand: on 25 November 2026
// federal fiscal year 2027 is under way. Planned 10.9 + 10.2 + 10.3 + 9.6 + 10.9 acres,
// to date the first three; applied 10.9 + 10.2 + 5.1.
func TestPacketOfTheDemo(t *testing.T) {
	ctx := context.Background()
	s := contracted(t)
	var all []*view.Packet
	keep := func(p *view.Packet) error { all = append(all, p); return nil }
	if err := s.Packets(ctx, keep); err != nil {
		t.Fatal(err)
	}
	if len(all) != 1 || all[0].Contract != "Native grass contract 1" || len(all[0].Practices) != 1 || all[0].FiscalYear != 2027 {
		t.Fatalf("%d packets, the first %+v", len(all), all[0])
	}
	got := all[0].Practices[0]
	for name, pair := range map[string][2]float64{
		"planned": {got.Planned, 51.9}, "to date": {got.DueBy, 31.4}, "applied": {got.Applied, 26.2}, "behind": {got.Behind, 5.2}, "remaining": {got.Remaining, 25.7},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-9 {
			t.Errorf("%s: %v acres, want %v", name, pair[0], pair[1])
		}
	}
	if slices.ContainsFunc(all[0].Warnings, func(w string) bool { return strings.HasPrefix(w, "file ") || strings.Contains(w, "standard") }) {
		t.Errorf("warned of %q", all[0].Warnings)
	}
	// The paper that demo writes from a plan says the same.
	if _, err := s.MakePlan(ctx, PlanOptions{Solver: quick}); err != nil {
		t.Fatal(err)
	}
	c, err := s.Contents(ctx, 0)
	if err != nil {
		t.Fatal(err)
	}
	packet, err := c.Packet(ctx)
	if err != nil || packet.Practices[0].Remaining != got.Remaining {
		t.Errorf("%v: %+v", err, packet)
	}
}

// TestPacketSaysWhichFilesAreNotWhatTheyWere alters one file after it was noted and
// takes another away.
func TestPacketSaysWhichFilesAreNotWhatTheyWere(t *testing.T) {
	ctx := context.Background()
	s := contracted(t)
	var files []habitat.Attachment
	for _, name := range []string{"same.txt", "altered.txt", "gone.txt"} {
		path := filepath.Join(filepath.Dir(s.Store.Path()), name)
		if err := os.WriteFile(path, []byte(name), 0o666); err != nil {
			t.Fatal(err)
		}
		file, err := s.Attach(path)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	contract := s.Contracts[0]
	contract.Files = files
	contract.Practices = slices.Clone(contract.Practices)
	contract.Practices[0].Standard = ""
	if err := s.update(ctx, "attach", func(tx *store.Tx) error { return tx.PutContract(contract) }); err != nil {
		t.Fatal(err)
	}
	folder := filepath.Dir(s.Store.Path())
	if err := errors.Join(os.WriteFile(filepath.Join(folder, "altered.txt"), []byte("x"), 0o666), os.Remove(filepath.Join(folder, "gone.txt"))); err != nil {
		t.Fatal(err)
	}
	var warnings []string
	if err := s.Packets(ctx, func(p *view.Packet) error { warnings = p.Warnings; return nil }); err != nil {
		t.Fatal(err)
	}
	text := strings.Join(warnings, "\n")
	for _, want := range []string{"practice 338: the date of its standard was not typed", "file altered.txt of the contract: altered", "file gone.txt of the contract: gone"} {
		if !strings.Contains(text, want) {
			t.Errorf("the packet lacks %q:\n%s", want, text)
		}
	}
	if strings.Contains(text, "same.txt") {
		t.Errorf("a file that is as it was is warned of:\n%s", text)
	}
}

// TestPacketsGoOnPastWhatFails runs through a good property, a file that is none and a
// property without a contract.
func TestPacketsGoOnPastWhatFails(t *testing.T) {
	ctx := context.Background()
	good, without := contracted(t), property(t, "pennywhistle-place")
	missing := filepath.Join(t.TempDir(), "missing.emberquilt")
	paths := []string{missing, good.Store.Path(), without.Store.Path()}
	var told []string
	from := good.Environment
	from.Progress = func(p Progress) { told = append(told, p.Doing) }
	write := func(p *view.Packet) ([]string, error) { return []string{"a.pdf", "a.xlsx", "a.csv"}, nil }
	run, err := PacketsOfAll(ctx, paths, from, write)
	if err != nil {
		t.Fatal(err)
	}
	if run.Failed != 1 || len(run.All) != 3 || run.Stamp.Property != "3 property files" {
		t.Fatalf("%+v", run)
	}
	if !strings.HasPrefix(run.All[0].State(), "FAILED: ") || run.All[1].State() != "done" || run.All[1].Packets != 1 || run.All[2].State() != "no contract" {
		t.Errorf("%+v", run.All)
	}
	if len(told) < 5 || told[len(told)-1] != "" {
		t.Errorf("told %q, want each property and the end", told)
	}
	stopped, stop := context.WithCancel(ctx)
	var interrupted *Interrupted
	_, err = PacketsOfAll(stopped, paths[1:], from, func(*view.Packet) ([]string, error) { stop(); return nil, nil })
	if !errors.As(err, &interrupted) || interrupted.Done != "0 of 2 properties were done" {
		t.Errorf("a run that was stopped: %v", err)
	}
}
