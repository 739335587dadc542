package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"mime/multipart"
	"net/http"
	"regexp"
	"strings"
	"testing"
)

// settingsOf asks for what the screen of the settings shows.
func settingsOf(t *testing.T, r *running) (got struct {
	Text     string           `json:"text"`
	Contacts []map[string]any `json:"contacts"`
	Units    []map[string]any `json:"units"`
	Plans    []map[string]any `json:"plans"`
	Cautions []string         `json:"cautions"`
}) {
	t.Helper()
	answer := r.get("/api/p/nine-gate/settings")
	if err := json.Unmarshal([]byte(answer.text), &got); err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("%d %s: %v", answer.StatusCode, answer.text, err)
	}
	return got
}

// TestSettingsAreChangedOnThePage previews, refuses with the line, and changes.
func TestSettingsAreChangedOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	before := settingsOf(t, r)
	if len(before.Contacts) == 0 || len(before.Units) == 0 || len(before.Plans) == 0 || len(before.Cautions) == 0 {
		t.Errorf("something is missing: %+v", before)
	}
	years := regexp.MustCompile(`(?m)^years = \d+`)
	post := func(text string, isDry bool) answered {
		body, err := json.Marshal(map[string]any{"text": text, "dry_run": isDry, "because": "a test"})
		if err != nil {
			t.Fatal(err)
		}
		return r.post("/api/p/nine-gate/settings", string(body))
	}
	bad := post(years.ReplaceAllString(before.Text, "years = 4000"), true)
	line := 1 + strings.Count(before.Text[:years.FindStringIndex(before.Text)[0]], "\n")
	if bad.StatusCode != http.StatusBadRequest || !strings.Contains(bad.text, `"field":"years"`) || !strings.Contains(bad.text, fmt.Sprintf(`"line":%d`, line)) {
		t.Errorf("4,000 years: %d %s", bad.StatusCode, bad.text)
	}
	good := years.ReplaceAllString(before.Text, "years = 9")
	if shown := post(good, true); shown.StatusCode != http.StatusOK || !strings.Contains(shown.text, "→ 9") {
		t.Errorf("a preview: %d %s", shown.StatusCode, shown.text)
	}
	if got := settingsOf(t, r); got.Text != before.Text {
		t.Error("a preview changes the settings")
	}
	if done := post(good, false); done.StatusCode != http.StatusOK {
		t.Errorf("%d %s", done.StatusCode, done.text)
	}
	if got := settingsOf(t, r); !strings.Contains(got.Text, "\nyears = 9") {
		t.Error("the settings stay")
	}
}

// TestUnitsContactsAndPlansChangeOnThePage goes through the other parts of the screen,
// each with what it refuses.
func TestUnitsContactsAndPlansChangeOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	before := settingsOf(t, r)
	unit := fmt.Sprint(before.Units[0]["unit"])
	for _, one := range []struct {
		path, body string
		status     int
		says       string
	}{
		{"contacts", `{"contacts": [{"role": "dispatch"}, {"role": ""}]}`, http.StatusBadRequest, "contact 2, role"},
		{"contacts", `{"contacts": [{"role": "dispatch", "phone": "555-0100"}]}`, http.StatusOK, `{"contacts":1}`},
		{"units/rename", fmt.Sprintf(`{"unit": %q, "name": ""}`, unit), http.StatusBadRequest, "name"},
		{"units/rename", fmt.Sprintf(`{"unit": %q, "name": "Gate Nought"}`, unit), http.StatusOK, "Gate Nought"},
		{"units/split", `{"unit": "gate nought", "parts": [{"name": "a", "acres": "many"}, {"name": "b", "acres": "2"}]}`, http.StatusBadRequest, `\"many\" of \"a\" is not a number`},
		{"units/merge", `{"units": ["Gate Nought"], "name": "All"}`, http.StatusBadRequest, "one unit alone"},
		{"units/retire", `{"unit": "Gate Nought", "until": "tomorrow"}`, http.StatusBadRequest, "is not a date"},
		{"units/retire", `{"unit": "Gate Nought"}`, http.StatusOK, "Gate Nought"},
		{"units/vanish", `{"unit": "Gate Nought"}`, http.StatusNotFound, "do not change like that"},
		{"plans/99/adopt", `{}`, http.StatusUnprocessableEntity, "there is no plan 99"},
		{"plans/1/adopt", `{"because": "it is"}`, http.StatusOK, `{"plan":1}`},
		{"plans/1/burn", `{}`, http.StatusNotFound, "adopted or discarded"},
		{"contracts/hold", `{"contract": "none", "line": 0, "hold": "firmly"}`, http.StatusBadRequest, "hold"},
	} {
		got := r.post("/api/p/nine-gate/"+one.path, one.body)
		if got.StatusCode != one.status || !strings.Contains(got.text, one.says) {
			t.Errorf("%s %s: %d %s", one.path, one.body, got.StatusCode, got.text)
		}
	}
	if got := settingsOf(t, r); len(got.Contacts) != 1 || got.Contacts[0]["phone"] != "555-0100" {
		t.Errorf("to call: %v", got.Contacts)
	}
	// The copy is a property file of its own.
	copied := r.get("/api/p/nine-gate/backup")
	if copied.StatusCode != http.StatusOK || !strings.HasPrefix(copied.text, "SQLite format 3") {
		t.Errorf("%d %.40q", copied.StatusCode, copied.text)
	}
}

// sendFiles posts a form with a wish and one file.
func sendFiles(r *running, path, wish, name, text string) answered {
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	form.WriteField("wish", wish)
	part, err := form.CreateFormFile("file", name)
	if err != nil {
		r.t.Fatal(err)
	}
	part.Write([]byte(text))
	form.Close()
	q := r.request(http.MethodPost, path, body.String())
	q.Header.Set("Content-Type", form.FormDataContentType())
	return r.do(q)
}

// TestWeatherOnThePage loads, refuses and reads.
func TestWeatherOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	shown := r.get("/api/p/nine-gate/weather")
	if shown.StatusCode != http.StatusOK || !strings.Contains(shown.text, "one_year_in_five_low") || !strings.Contains(shown.text, `"cautions"`) {
		t.Errorf("%d %.300s", shown.StatusCode, shown.text)
	}
	if got := sendFiles(r, "/api/p/nine-gate/weather", `{}`, "notes.csv", "this,is\nno,weather\n"); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, `"file":"notes.csv"`) || strings.Contains(got.text, "emberquilt-sent") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	if got := sendFiles(r, "/api/p/nine-gate/prescriptions", `{}`, "wet.json", `{"format": "prescription/1"}`); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, "wet.json") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	if got := sendFiles(r, "/api/p/nine-gate/weather", `{"station": "x", "more": 1}`, "notes.csv", ""); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, "not one of this page") {
		t.Errorf("an unknown key: %d %s", got.StatusCode, got.text)
	}
	if got := r.post("/api/p/nine-gate/prescriptions/starters", `{}`); got.StatusCode != http.StatusOK || !strings.Contains(got.text, "loaded ") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	if got := r.post("/api/p/nine-gate/weather/use", `{"station": "nowhere"}`); got.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(got.text, "nowhere") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	// Every fault of a reading is said at once.
	got := r.post("/api/p/nine-gate/now", `{"unit": "x", "temp": "warm", "rh": "", "wind": "4", "gust": "some", "from": "upstairs", "at": "", "dry_days": "1.5"}`)
	for _, field := range []string{"temp", "rh", "gust", "from", "dry-days"} {
		if got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, fmt.Sprintf(`"field":%q`, field)) {
			t.Errorf("%s is not named: %d %s", field, got.StatusCode, got.text)
		}
	}
}
