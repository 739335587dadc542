package web

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"emberquilt/cmd/internal/app"
)

// TestRehearsalOfThePage asks for a rehearsal, hears how far it has come, and reads
// what is kept; a slip begins nothing.
func TestRehearsalOfThePage(t *testing.T) {
	path := demoProperty(t, t.TempDir())
	r := start(t, options(t, path))
	ask := func() (now app.Rehearsing) {
		answer := r.do(r.request("GET", "/api/p/nine-gate/rehearsal", ""))
		if answer.StatusCode != http.StatusOK {
			t.Fatalf("status %d", answer.StatusCode)
		}
		if err := json.Unmarshal([]byte(answer.text), &now); err != nil {
			t.Fatal(err)
		}
		return now
	}
	if now := ask(); now.Rehearsal != nil || now.Plan != 1 || len(now.Rules) < 5 || !now.Rules[0].IsUsual || len(now.Cautions) < 4 {
		t.Errorf("before: %+v", now)
	}
	for _, slip := range []string{`{"rules": ["often"]}`, `{"futures": "x"}`, `{"nothing": 1}`} {
		if answer := r.do(r.request("POST", "/api/p/nine-gate/rehearsal", slip)); answer.StatusCode != http.StatusBadRequest {
			t.Errorf("%s gives %d", slip, answer.StatusCode)
		}
	}
	c, _, _, _ := r.hub.listen(0)
	defer r.hub.leave(c)
	over := func() rehearsalState {
		for e := range c {
			if state, ok := e.Data.(rehearsalState); ok && state.IsOver {
				return state
			}
		}
		t.Fatal("nothing more is told")
		panic("not reached")
	}
	if answer := r.do(r.request("POST", "/api/p/nine-gate/rehearsal", `{"futures": 3, "seed": 2, "rules": ["plan", "second-crew"], "ahead": true}`)); answer.StatusCode != http.StatusAccepted {
		t.Fatalf("a rehearsal gives %d", answer.StatusCode)
	}
	if state := over(); state.Fault != nil {
		t.Fatalf("pages hear %+v", state)
	}
	now := ask()
	if now.Rehearsal == nil {
		t.Fatal("nothing is kept")
	}
	got := now.Rehearsal
	if got.Futures != 3 || got.Seed != 2 || len(got.Rules) != 2 || got.Rules[1].Name != "plan+second-crew+ahead" || len(got.Differences) != 2 || !strings.Contains(got.Headlines[0], "of 3 futures") {
		t.Errorf("after: %+v", got)
	}
	// Out of range: the layer refuses, and pages hear it; what was kept stays.
	r.do(r.request("POST", "/api/p/nine-gate/rehearsal", `{"futures": 3, "lost_days": {"summer": 0.5}}`))
	if state := over(); state.Fault == nil || !strings.Contains(state.Fault.Errors[0].Found, "summer") {
		t.Errorf("pages hear %+v", state)
	}
	if ask().Rehearsal == nil {
		t.Error("a refused rehearsal took the kept one away")
	}
}
