package web

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"

	"emberquilt/habitat/ground/geofile"
	"emberquilt/testdata/demo"
)

// firstAnswer asks the first run and reads what it gives.
func firstAnswer(t *testing.T, a answered) (state firstState) {
	t.Helper()
	if a.StatusCode != http.StatusOK {
		t.Fatalf("%d %s", a.StatusCode, a.text)
	}
	if err := json.Unmarshal([]byte(a.text), &state); err != nil {
		t.Fatal(err)
	}
	return state
}

// sendFiles sends files for a question.
func (r *running) sendFiles(question string, files map[string][]byte) answered {
	r.t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	if err := form.WriteField("question", question); err != nil {
		r.t.Fatal(err)
	}
	for name, data := range files {
		part, err := form.CreateFormFile("file", name)
		if err != nil {
			r.t.Fatal(err)
		}
		if _, err := part.Write(data); err != nil {
			r.t.Fatal(err)
		}
	}
	if err := form.Close(); err != nil {
		r.t.Fatal(err)
	}
	q := r.request("POST", firstFiles, b.String())
	q.Header.Set("Content-Type", form.FormDataContentType())
	return r.do(q)
}

func filesIn(t *testing.T, folder string) []string {
	t.Helper()
	all, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	names := []string{}
	for _, one := range all {
		names = append(names, one.Name())
	}
	return names
}

// TestFirstRunOnThePage answers the questions from an empty folder on: what is wrong
// stands beside its question, nothing is stored before the last step, a reload loses
// nothing, and what is made is what a command finds.
func TestFirstRunOnThePage(t *testing.T) {
	folder := t.TempDir()
	r := start(t, options(t, folder))
	state := firstAnswer(t, r.get("/api/first"))
	if want := []string{"name", "where", "time zone", "patch"}; !slices.Equal(state.Missing, want) || len(state.Cautions) == 0 {
		t.Errorf("missing at first: %v", state.Missing)
	}
	state = firstAnswer(t, r.post("/api/first", `{"answers":{"name":["Müller's <Farm>"],"where":["Riley County, Kansa"],"unburned":["120%"],"seasn":["x"]},
		"patches":[{"name":"North, Field","acres":"18"},{"name":"","acres":""},{"name":"Creek","acres":"nine"},{"name":"north, field","acres":"3"}],
		"places":[{"name":"barn","at":"91, 0"}],"contacts":[{"role":"","name":"J. Example"}]}`))
	var wrong []string
	for _, f := range state.Faults {
		if len(f.Errors) == 0 {
			t.Errorf("%s %d: wrong without a word", f.Key, f.Row)
		}
		wrong = append(wrong, f.Key+strings.Repeat("+", f.Row+1))
	}
	if want := []string{"where", "unburned", "patch+++", "patch++++", "place+", "neighbor+", "seasn"}; !slices.Equal(wrong, want) {
		t.Errorf("wrong are %v", wrong)
	}
	if got := filesIn(t, folder); len(got) != 0 {
		t.Errorf("stored before the last step: %v", got)
	}
	if got := r.post("/api/first/begin", `{}`); got.StatusCode == http.StatusOK || len(filesIn(t, folder)) != 0 {
		t.Errorf("a form with faults begins: %d %s", got.StatusCode, got.text)
	}

	shapes, err := demo.Files.ReadFile("nine-gate/units.geojson")
	if err != nil {
		t.Fatal(err)
	}
	if got := r.sendFiles("unburned", map[string][]byte{"units.geojson": shapes}); got.StatusCode != http.StatusBadRequest {
		t.Errorf("a file for a question that takes none: %d", got.StatusCode)
	}
	state = firstAnswer(t, r.sendFiles("patch", map[string][]byte{"../units.geojson": shapes}))
	if !slices.Equal(state.Files, []string{"units.geojson"}) || !slices.Equal(state.Form.Answers["patch"], []string{"units.geojson"}) {
		t.Errorf("files: %v, answers %v", state.Files, state.Form.Answers)
	}
	// A path of the browser opens nothing of the disk.
	state = firstAnswer(t, r.post("/api/first", `{"answers":{"name":["x"],"where":["39.2, -96.6"],"patch":["/etc/hosts.txt"]}}`))
	if len(state.Faults) != 1 || !strings.Contains(state.Faults[0].Errors[0].Found, "was dropped here") {
		t.Errorf("a file of the disk: %+v", state.Faults)
	}
	state = firstAnswer(t, r.post("/api/first", `{"answers":{"name":["Müller's <Farm>"],"where":["Riley County, Kansas"],"seasons":["dormant 11-15 to 03-15; early-growing 03-16 to 05-10; late-summer 08-01 to 09-20"],"patch":["units.geojson"]},"patches":[{"name":"North, Field","acres":"18 acres","every":"2-3","last_burned":"3/28/2023"}]}`))
	if len(state.Faults) > 0 || state.Fault != nil || len(state.Missing) > 0 || state.File != "müller-s-farm.emberquilt" {
		t.Fatalf("faults %+v %+v, missing %v, file %s", state.Faults, state.Fault, state.Missing, state.File)
	}
	if says := strings.Join(state.Says, "\n"); !strings.Contains(says, "patch North, Field: 18.0 acres, every 2 to 3 years, last burned Tue, Mar 28, 2023") || state.Parts == nil {
		t.Errorf("says %s, parts %v", says, state.Parts)
	}
	if again := firstAnswer(t, r.get("/api/first")); !slices.Equal(again.Says, state.Says) {
		t.Error("a reload loses answers")
	}
	made := r.post("/api/first/begin", `{}`)
	if made.StatusCode != http.StatusOK || made.text != `{"id":"müller-s-farm"}` {
		t.Fatalf("%d %s", made.StatusCode, made.text)
	}
	if got := filesIn(t, folder); !slices.Equal(got, []string{"müller-s-farm.emberquilt"}) {
		t.Errorf("in the folder: %v", got)
	}
	for path, want := range map[string]string{"": "Müller's", "/season": `"due"`, "/units": "North, Field", "/plan": "gap_words"} {
		if got := r.get("/api/p/m%C3%BCller-s-farm" + path); got.StatusCode != http.StatusOK || !strings.Contains(got.text, want) {
			t.Errorf("%s: %d %.300s", path, got.StatusCode, got.text)
		}
	}
	if state = firstAnswer(t, r.get("/api/first")); len(state.Form.Answers) > 0 || len(state.Files) > 0 {
		t.Error("the answers stay after the property is made")
	}
	// The name is taken now.
	state = firstAnswer(t, r.post("/api/first", `{"answers":{"name":["MÜLLER S FARM"],"where":["39.2, -96.6"]},"patches":[{"name":"A","acres":"5"}]}`))
	if state.Fault == nil || !strings.Contains(state.Fault.Errors[0].Found, "already") {
		t.Errorf("a name that is taken: %+v", state.Fault)
	}
	if got := r.post("/api/first/begin", `{}`); got.StatusCode != http.StatusBadRequest {
		t.Errorf("a name that is taken begins: %d", got.StatusCode)
	}
}

// Who serves one file makes no other beside it.
func TestFirstRunNeedsAFolder(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	for _, path := range []string{"/api/first/begin", "/api/first/forget"} {
		if got := r.post(path, `{}`); got.StatusCode != http.StatusNotFound {
			t.Errorf("%s: %d", path, got.StatusCode)
		}
	}
}

// The parts of a shapefile are read together.
func TestFirstRunReadsTheWholeShapefile(t *testing.T) {
	shapes, err := demo.Files.ReadFile("nine-gate/units.geojson")
	if err != nil {
		t.Fatal(err)
	}
	layer, err := geofile.ReadBytes(shapes, "units.geojson", geofile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	table := geofile.Table{Name: "ours", Columns: []geofile.Column{{Name: "unit"}}}
	for i, f := range layer.Features {
		table.Rows = append(table.Rows, geofile.Row{Name: f.Name, Shape: f.Shape, Values: []string{fmt.Sprintf("Patch %d", i+1)}})
	}
	var b bytes.Buffer
	if _, err := geofile.WriteShapefile(&b, "Ours", &table); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	parts := map[string][]byte{}
	for _, f := range z.File {
		opened, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if parts[f.Name], err = io.ReadAll(opened); err != nil {
			t.Fatal(err)
		}
	}
	r := start(t, options(t, t.TempDir()))
	state := firstAnswer(t, r.sendFiles("patch", parts))
	if !slices.Equal(state.Files, []string{"Ours.zip"}) || len(state.Faults) > 0 {
		t.Fatalf("files %v, faults %+v", state.Files, state.Faults)
	}
	state = firstAnswer(t, r.post("/api/first", `{"answers":{"name":["x"],"where":["37.2, -96.3"],"patch":["Ours.zip"]}}`))
	if !strings.Contains(strings.Join(state.Says, "\n"), "patch Patch 1: ") || len(state.Parts.Units) != len(layer.Features) {
		t.Errorf("says %v, %+v", state.Says, state.Fault)
	}
}
