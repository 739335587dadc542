package web

import (
	"encoding/json"
	"strings"
	"testing"

	"emberquilt/cmd/internal/app"
)

// TestClientsSayWhoIsBehind: a line of which something remains after its fiscal year is
// behind, however much of it was done.
func TestClientsSayWhoIsBehind(t *testing.T) {
	folder := t.TempDir()
	demoProperty(t, folder)
	r := start(t, options(t, folder))
	var got struct{ Clients []client }
	if answer := r.get("/api/clients?days=30"); json.Unmarshal([]byte(answer.text), &got) != nil || len(got.Clients) != 1 || len(got.Clients[0].Contracts) != 1 {
		t.Fatalf("%d %s", answer.StatusCode, answer.text)
	}
	behind := map[int]int{}
	for _, year := range got.Clients[0].Contracts[0].Lines {
		if year.Behind > 0 {
			behind[year.Year] = year.Behind
		}
	}
	if len(behind) != 1 || behind[2026] != 1 {
		t.Errorf("behind are %v, want the line of 2026, half of which was burned", behind)
	}
	// The contract's own screen says how much of it.
	answer := r.get("/api/p/nine-gate/contracts")
	var screen struct{ Contracts []shownContract }
	if json.Unmarshal([]byte(answer.text), &screen) != nil || len(screen.Contracts) != 1 {
		t.Fatalf("%d %s", answer.StatusCode, answer.text)
	}
	for _, line := range screen.Contracts[0].Schedule {
		if isBehind := line.Behind > 0; isBehind != (line.FiscalYear == 2026) || isBehind && line.Behind != line.Remaining {
			t.Errorf("line %d of %d: %v behind, %v remaining", line.Line, line.FiscalYear, line.Behind, line.Remaining)
		}
	}
}

// TestAPaperWithNothingInItIsNotOffered: what has nothing to write for a property is not
// listed, for its download would give no file.
func TestAPaperWithNothingInItIsNotOffered(t *testing.T) {
	o := options(t, demoProperty(t, t.TempDir()))
	write := o.Papers[0].Write
	o.Papers = []Paper{
		{File: "always.txt", Write: write},
		{File: "packet.txt", Write: write, Has: (*app.Contents).HasContract},
		{File: "draft.txt", Write: write, Has: (*app.Contents).HasBurnAhead},
		{File: "nothing.txt", Write: write, Has: func(*app.Contents) bool { return false }},
	}
	answer := start(t, o).get("/api/p/nine-gate/papers")
	for file, want := range map[string]bool{"always.txt": true, "packet.txt": true, "draft.txt": true, "nothing.txt": false} {
		if got := strings.Contains(answer.text, file); got != want {
			t.Errorf("%s: offered %t, want %t", file, got, want)
		}
	}
}
