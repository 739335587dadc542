package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"mime/multipart"
	"net/http"
	"os"
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
	if got := sendFiles(r, "/api/p/nine-gate/weather", `{}`, "notes.csv", "this,is\nno,weather\n"); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, `"file":"notes.csv"`) || strings.Contains(got.text, os.TempDir()) {
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

// TestTemplatesOnThePage downloads what a property shares with its county, begins a new
// property with it and loads it into another: what would change is said first, what is no
// template is refused with its line.
func TestTemplatesOnThePage(t *testing.T) {
	folder := t.TempDir()
	demoProperty(t, folder)
	r := start(t, options(t, folder))
	if a := r.get("/api/p/nine-gate/template?county=Orrin+County"); a.StatusCode != http.StatusBadRequest || !strings.Contains(a.text, "who says so") {
		t.Errorf("without a source: %d %s", a.StatusCode, a.text)
	}
	made := r.get("/api/p/nine-gate/template?county=Orrin+County&source=burn+guide")
	if made.StatusCode != http.StatusOK || !strings.Contains(made.text, "\n"+`template = { name = "Orrin County", source = "burn guide"`) {
		t.Fatalf("%d %s", made.StatusCode, made.text)
	}
	if name := made.Header.Get("Content-Disposition"); !strings.Contains(name, `"orrin-county.toml"`) {
		t.Errorf("it is named %s", name)
	}

	// A first run under it.
	state := firstAnswer(t, r.sendFiles("template", map[string][]byte{"orrin.toml": []byte(made.text)}))
	if !strings.Contains(state.Template, "Orrin County") || len(state.Files) != 0 {
		t.Errorf("%q, files %q", state.Template, state.Files)
	}
	if a := r.sendFiles("template", map[string][]byte{"own.toml": []byte("template = { name = \"A\", source = \"b\", date = \"2026-11-25\" }\nowner = \"c\"\n")}); a.StatusCode != http.StatusBadRequest || !strings.Contains(a.text, `"own.toml"`) || !strings.Contains(a.text, `"line":2`) {
		t.Errorf("settings of one property: %d %s", a.StatusCode, a.text)
	}
	if a := r.sendFiles("template", map[string][]byte{"a.toml": []byte(made.text), "b.toml": []byte(made.text)}); a.StatusCode != http.StatusBadRequest {
		t.Errorf("two at once: %d %s", a.StatusCode, a.text)
	}
	form := `{"answers":{"name":["Larkin"],"where":["Riley County, Kansas"]},"patches":[{"name":"North","acres":"20"}]}`
	with := firstAnswer(t, r.post("/api/first", form))
	if says := strings.Join(with.Says, "\n"); !strings.Contains(says, "the template of Orrin County") || !strings.Contains(says, "goes before the answers") {
		t.Errorf("what will be made does not name it: %s", says)
	}
	firstAnswer(t, r.post("/api/first/no-template", "{}"))
	if without := firstAnswer(t, r.get("/api/first")); without.Template != "" || strings.Contains(strings.Join(without.Says, "\n"), "Orrin") {
		t.Errorf("it stays: %q", without.Says)
	}
	firstAnswer(t, r.sendFiles("template", map[string][]byte{"orrin.toml": []byte(made.text)}))
	if a := r.post("/api/first/begin", "{}"); a.StatusCode != http.StatusOK {
		t.Fatalf("%d %s", a.StatusCode, a.text)
	}
	if a := firstAnswer(t, r.get("/api/first")); a.Template != "" {
		t.Error("the next first run begins with the template of this one")
	}
	if a := r.get("/api/p/larkin/settings"); !strings.Contains(a.text, "from_template") || !strings.Contains(a.text, "burn guide") {
		t.Errorf("it does not name its template: %s", a.text)
	}

	// Loaded into a property that stands.
	other := strings.Replace(made.text, "burn guide", "burn guide, second edition", 1)
	post := func(text string, isDry bool) answered {
		body, err := json.Marshal(map[string]any{"file": "orrin.toml", "text": text, "dry_run": isDry})
		if err != nil {
			t.Fatal(err)
		}
		return r.post("/api/p/larkin/template", string(body))
	}
	before := r.get("/api/p/larkin/settings").text
	if a := post(other, true); a.StatusCode != http.StatusOK || !strings.Contains(a.text, "second edition") {
		t.Errorf("a preview: %d %s", a.StatusCode, a.text)
	}
	if r.get("/api/p/larkin/settings").text != before {
		t.Error("a preview changes the settings")
	}
	if a := post("owner = \"x\"\n", false); a.StatusCode != http.StatusBadRequest || !strings.Contains(a.text, "orrin.toml") {
		t.Errorf("no template: %d %s", a.StatusCode, a.text)
	}
	if a := post(other, false); a.StatusCode != http.StatusOK || !strings.Contains(r.get("/api/p/larkin/settings").text, "second edition") {
		t.Errorf("%d %s", a.StatusCode, a.text)
	}
}
