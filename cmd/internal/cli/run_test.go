package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
)

// TestRunsNeedNoTerminal calls what the commands call, with options and without a
// command line: what a property without units and plans says to each.
func TestRunsNeedNoTerminal(t *testing.T) {
	ctx := context.Background()
	var out bytes.Buffer
	now := date.MustDay(2026, time.November, 25)
	path := filepath.Join(t.TempDir(), "x.emberquilt")
	s, err := app.Create(ctx, path, app.ExampleSettings(), app.Environment{Today: now, Moment: now.Time()})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	a := &terminal{Program: Program{Out: &out, Err: &out, Getenv: func(string) string { return "" }, Now: time.Now}, property: path}
	a.today.Day = now
	for name, run := range map[string]func() error{
		"plans":  func() error { return a.runPlans(ctx, &showFlags{csv: true}) },
		"packet": func() error { return a.runPackets(ctx, packetOptions{folder: t.TempDir()}) },
		"tasks":  func() error { return a.runListTasks(ctx) },
	} {
		out.Reset()
		if err := run(); err != nil || out.Len() == 0 {
			t.Errorf("%s: %v, %q", name, err, out.String())
		}
	}
	for name, test := range map[string]struct {
		run  func() error
		hint string
	}{
		"map": {func() error { return a.runMap(ctx, mapOptions{width: 360, out: "-"}) }, "emberquilt plan makes one"},
		"draft": {func() error {
			return a.runDraft(ctx, draftOptions{DraftOptions: app.DraftOptions{Unit: "Oak"}, out: "-"})
		}, "emberquilt plan makes one"},
		"calendar": {func() error { return a.runCalendar(ctx, calendarOptions{}) }, "emberquilt plan makes one"},
		"tables":   {func() error { return a.runTables(ctx, tablesOptions{out: "-"}) }, "emberquilt plan makes one"},
		"lock":     {func() error { return a.runLock(ctx, lockOptions{lock: habitat.Lock{Unit: "Oak", Year: 2027}}) }, "emberquilt units lists them"},
	} {
		var fault *source.Error
		if err := hinted(test.run()); !errors.As(err, &fault) || !strings.Contains(fault.Hint, test.hint) {
			t.Errorf("%s: %v, want a hint that %s", name, err, test.hint)
		}
	}
}

// Help texts fill their lines, and what the library sets in to be copied stays as it is.
func TestHelpTextsAreFolded(t *testing.T) {
	const text = "Begin\nhere.\n\n\temberquilt completion bash > \"a file whose name goes on and on past the width of the lines\"\n\n  name  what it\n        is"
	const want = "Begin here.\n\n\temberquilt completion bash > \"a file whose name goes on and on past the width of the lines\"\n\n  name  what it is"
	if got := fold(text); got != want {
		t.Errorf("fold gives\n%s\nwant\n%s", got, want)
	}
}

// BenchmarkVersion is what every command line costs before its own work.
func BenchmarkVersion(b *testing.B) {
	b.ReportAllocs()
	for range b.N {
		p := Program{Args: []string{"version"}, In: strings.NewReader(""), Out: io.Discard, Err: io.Discard, Getenv: func(string) string { return "" }, Now: time.Now}
		if status := p.Run(b.Context()); status != statusDone {
			b.Fatalf("status %d", status)
		}
	}
}
