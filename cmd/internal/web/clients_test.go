package web

import (
	"encoding/json"
	"testing"
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
}
