package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/app"
)

// editState asks for the draft until no solve is under way.
func editState(t *testing.T, r *running) *app.EditState {
	t.Helper()
	for range 600 {
		answer := r.get("/api/p/nine-gate/draft")
		if answer.StatusCode != http.StatusOK {
			t.Fatalf("%d %s", answer.StatusCode, answer.text)
		}
		var state app.EditState
		if err := json.Unmarshal([]byte(answer.text), &state); err != nil {
			t.Fatal(err)
		}
		if !state.IsSolving {
			return &state
		}
		r.post("/api/p/nine-gate/draft/stop", "{}")
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("the solve does not end")
	return nil
}

// TestAPlanIsEdited asks what can be, edits, undoes, does again and keeps.
func TestAPlanIsEdited(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	first := editState(t, r)
	row := first.Edited.Rows[0]
	at := strings.Index(row.Plan, "0")
	if at < 0 {
		t.Fatalf("%s never burns: %q", row.Unit, row.Plan)
	}
	cell := fmt.Sprintf("unit=%s&year=%d", url.QueryEscape(row.Unit), first.Edited.Years[at])
	for _, path := range []string{"choices?" + cell, "moves?" + cell, "compare?other=1"} {
		if answer := r.get("/api/p/nine-gate/draft/" + path); answer.StatusCode != http.StatusOK {
			t.Errorf("%s: %d %s", path, answer.StatusCode, answer.text)
		}
	}
	body := func(do string, year int) string {
		return fmt.Sprintf(`{"plan": 1, "step": [{"unit": %q, "year": %d, "do": %q}]}`, row.Unit, year, do)
	}
	if answer := r.post("/api/p/nine-gate/draft/edit", body("rest", int(first.Edited.Years[at]))); answer.StatusCode != http.StatusOK {
		t.Fatalf("%d %s", answer.StatusCode, answer.text)
	}
	after := editState(t, r)
	if !after.Holds || after.Undo != 1 || after.Edited.Rows[0].Plan[at] != '.' || after.Edited.Rows[0].By[at] != 'e' || len(after.Edited.Cautions) == 0 {
		t.Errorf("%+v %+v", after.EditNews, after.Edited.Rows[0])
	}
	for _, step := range []string{"undo", "redo"} {
		if answer := r.post("/api/p/nine-gate/draft/"+step, "{}"); answer.StatusCode != http.StatusOK {
			t.Errorf("%s: %d %s", step, answer.StatusCode, answer.text)
		}
	}
	for what, status := range map[string]int{body("mow", 2027): http.StatusBadRequest, body("rest", 2099): http.StatusUnprocessableEntity, `{"plan": 1, "cells": []}`: http.StatusBadRequest} {
		if answer := r.post("/api/p/nine-gate/draft/edit", what); answer.StatusCode != status || !strings.Contains(answer.text, `"error"`) {
			t.Errorf("%s: %d %s, want %d", what, answer.StatusCode, answer.text, status)
		}
	}
	answer := r.post("/api/p/nine-gate/draft/keep", `{"note": "by hand"}`)
	if answer.StatusCode != http.StatusOK || !strings.Contains(answer.text, `"plan":2`) {
		t.Fatalf("%d %s", answer.StatusCode, answer.text)
	}
	if end := editState(t, r); end.IsDraft || end.Edited.Plan != 2 {
		t.Errorf("%+v", end.EditNews)
	}
	if plans := r.get("/api/p/nine-gate/plans"); !strings.Contains(plans.text, "by hand") {
		t.Errorf("plans: %s", plans.text)
	}
	if beside := r.get("/api/p/nine-gate/beside"); beside.StatusCode != http.StatusOK || !strings.Contains(strings.Join(strings.Fields(beside.text), ""), `"plans":[{"plan":2,"name":"inforce"`) {
		t.Errorf("beside: %d %s", beside.StatusCode, beside.text)
	}
	if answer := r.post("/api/p/nine-gate/draft/undo", "{}"); answer.StatusCode != http.StatusBadRequest {
		t.Errorf("undo without a draft: %d", answer.StatusCode)
	}
}

// Why of a cell is asked of the adopted plan, and ends with what the other choice costs.
func TestWhyIsAsked(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	row := editState(t, r).Edited
	answer := r.get(fmt.Sprintf("/api/p/nine-gate/why?unit=%s&year=%d", url.QueryEscape(row.Rows[0].Unit), row.Years[0]))
	var v struct {
		Headline string   `json:"headline"`
		Reasons  []string `json:"reasons"`
		Other    struct {
			Words string `json:"words"`
		} `json:"other_choice"`
		Differs []string `json:"second_plan_differs"`
	}
	if err := json.Unmarshal([]byte(answer.text), &v); err != nil || v.Headline == "" || v.Other.Words == "" || v.Differs == nil || len(v.Reasons) == 0 {
		t.Errorf("%d %s", answer.StatusCode, answer.text)
	}
	for _, bad := range []string{"unit=nobody&year=2027", fmt.Sprintf("unit=%s&year=1999", url.QueryEscape(row.Rows[0].Unit))} {
		if got := r.get("/api/p/nine-gate/why?" + bad); got.StatusCode/100 != 4 {
			t.Errorf("%s: %d %s", bad, got.StatusCode, got.text)
		}
	}
}

// TestThePageFollowsTheRecords puts burns on record: every screen says at once that the
// plan is behind, what has burned is marked, and what was not planned stands as it is.
func TestThePageFollowsTheRecords(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	get := func(path string, into any) {
		t.Helper()
		answer := r.get("/api/p/nine-gate" + path)
		if answer.StatusCode != http.StatusOK {
			t.Fatalf("%s: %d %s", path, answer.StatusCode, answer.text)
		}
		if err := json.Unmarshal([]byte(answer.text), into); err != nil {
			t.Fatal(err)
		}
	}
	var head struct{ Behind string }
	if get("", &head); head.Behind != "" {
		t.Errorf("a plan that nothing came after is behind: %q", head.Behind)
	}
	before := editState(t, r)
	planned, rested := "", ""
	for _, row := range before.Edited.Rows {
		if strings.Trim(row.Mark, ".") != "" || row.Stood != row.Plan {
			t.Errorf("%s stands as %q, marked %q, and is planned as %q", row.Unit, row.Stood, row.Mark, row.Plan)
		}
		if row.Plan[0] == '.' {
			rested = row.Unit
		} else {
			planned = row.Unit
		}
	}
	if planned == "" || rested == "" {
		t.Fatalf("no unit burns, or none rests: %+v", before.Edited.Rows)
	}
	for _, unit := range []string{planned, rested} {
		if a := r.post("/api/p/nine-gate/burns", fmt.Sprintf(`{"unit": %q, "on": "2026-11-23", "kind": "wildfire"}`, unit)); a.StatusCode != http.StatusOK {
			t.Fatalf("%d %s", a.StatusCode, a.text)
		}
	}
	if get("", &head); head.Behind != "Plan 1 is older than 2 burns on record." {
		t.Errorf("%q", head.Behind)
	}
	for _, row := range editState(t, r).Edited.Rows {
		switch row.Unit {
		case planned, rested:
			if row.Mark[0] != 'd' || row.Stood[0] == '.' || row.Ages[0] != 0 || row.Late[0] == '!' {
				t.Errorf("%s has burned: stands as %q, marked %q, ages %v, late %q", row.Unit, row.Stood, row.Mark, row.Ages, row.Late)
			}
		default:
			if row.Mark[0] != '.' {
				t.Errorf("%s has not burned: marked %q", row.Unit, row.Mark)
			}
		}
	}
	var drawn struct {
		Units []struct{ Unit string }
		Years []struct {
			States []struct{ Burns, Done bool }
		}
	}
	get("/map", &drawn)
	for i, u := range drawn.Units {
		if state := drawn.Years[0].States[i]; (u.Unit == planned || u.Unit == rested) != state.Done || state.Done && !state.Burns {
			t.Errorf("the map shows of %s %+v", u.Unit, state)
		}
	}
}
