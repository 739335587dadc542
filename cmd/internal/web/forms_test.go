package web

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestContractsOnThePage goes through what the screen of the contracts changes, each
// with what it refuses.
func TestContractsOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	read := func() (got struct {
		Contracts []shownContract  `json:"contracts"`
		Lines     []map[string]any `json:"lines"`
		Cautions  []string         `json:"cautions"`
	}) {
		answer := r.get("/api/p/nine-gate/contracts")
		if err := json.Unmarshal([]byte(answer.text), &got); err != nil || answer.StatusCode != http.StatusOK {
			t.Fatalf("%d %s: %v", answer.StatusCode, answer.text, err)
		}
		return got
	}
	before := read()
	if len(before.Contracts) != 1 || len(before.Lines) != 5 || len(before.Contracts[0].Schedule) < 5 || len(before.Cautions) == 0 {
		t.Fatalf("before: %+v", before)
	}
	name := before.Contracts[0].Contract
	for _, one := range []struct {
		change, body string
		status       int
		says         string
	}{
		{"amend", `"line": 5, "planned": "some", "because": "x"`, http.StatusBadRequest, `"field":"planned","found":"\"some\" is not an amount"`},
		{"amend", `"line": 5, "planned": "9.5"`, http.StatusBadRequest, `"field":"because"`},
		{"amend", `"planned": "9.5", "because": "x"`, http.StatusBadRequest, `"field":"line"`},
		{"amend", `"line": 55, "planned": "9.5", "because": "x"`, http.StatusBadRequest, "has no line 55"},
		{"amend", `"line": 5, "planned": "9.5", "because": "measured again", "on": "2030-01-01"`, http.StatusBadRequest, "is in the future"},
		{"amend", `"line": 5, "planned": "9.5", "because": "measured again", "number": "M-1"`, http.StatusOK, "9.5 acres"},
		{"move", `"line": 4, "year": "soon", "because": "x"`, http.StatusBadRequest, `\"soon\" is not a fiscal year`},
		{"move", `"line": 4, "unit": "Gate Nowhere", "because": "x"`, http.StatusUnprocessableEntity, "Gate Nowhere"},
		{"move", `"line": 4, "year": "2029", "because": "a wet spring"`, http.StatusOK, "2029"},
		{"extend", `"line": 4, "because": "x"`, http.StatusBadRequest, `"field":"year"`},
		{"extend", `"line": 4, "year": "2030", "because": "x"`, http.StatusOK, "2030"},
		{"cancel", `"line": 4, "because": "sold"`, http.StatusOK, "cancel line 4"},
		{"cancel", `"line": 4, "because": "sold"`, http.StatusBadRequest, "line 4 is canceled"},
		{"close", `"because": "over"`, http.StatusOK, "close line 5"},
		{"done", `"unit": "Gate One", "practice": "338", "amount": "3"`, http.StatusBadRequest, `"field":"on"`},
		{"done", `"unit": "Gate One", "practice": "338", "amount": "3", "on": "2026-11-01"`, http.StatusUnprocessableEntity, "follow from the burns on record"},
		{"done", `"unit": "Gate One", "practice": "394", "amount": "3", "on": "2026-11-01"`, http.StatusBadRequest, "is not a practice"},
		{"practice", `"practice": "338", "standard": "2021-05"`, http.StatusOK, "2021-05"},
		{"early", `"early": "perhaps"`, http.StatusBadRequest, "perhaps"},
		{"early", `"early": "credited"`, http.StatusOK, "credited"},
		{"file", `"path": "../elsewhere.pdf"`, http.StatusBadRequest, "not below it"},
		{"file", `"path": "none.pdf"`, http.StatusBadRequest, "none.pdf"},
		{"hold", `"line": 5, "hold": "firmly"`, http.StatusBadRequest, "hold"},
		{"vanish", ``, http.StatusNotFound, "do not change like that"},
	} {
		body := fmt.Sprintf(`{"contract": %q`, name)
		if one.body != "" {
			body += ", " + one.body
		}
		got := r.post("/api/p/nine-gate/contracts/"+one.change, body+"}")
		if got.StatusCode != one.status || !strings.Contains(got.text, one.says) {
			t.Errorf("%s %s: %d %s", one.change, one.body, got.StatusCode, got.text)
		}
	}
	after := read().Contracts[0]
	if len(after.Modifications) < 4 || after.Modifications[0].Number != "M-1" {
		t.Errorf("modifications: %+v", after.Modifications)
	}
}

// TestClosuresOnThePage keeps a list, previews one, and says beside which row what is
// wrong.
func TestClosuresOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	for _, one := range []struct {
		body   string
		status int
		says   string
	}{
		{`{"closures": [{"name": "hunt", "first": "04-31", "last": "05-10"}]}`, http.StatusBadRequest, `"field":"closure 1, first"`},
		{`{"closures": [{"name": "hunt", "first": "04-15", "last": "05-10"}, {"name": "", "first": "2028-02-01", "last": "2028-01-01"}]}`, http.StatusBadRequest, `"field":"closure 2, last"`},
		{`{"closures": [{"name": "hunt", "first": "2028-04-15", "last": "05-10"}]}`, http.StatusBadRequest, `"field":"closure 1, last"`},
		{`{"closures": [{"name": "", "first": "04-15", "last": "05-10"}]}`, http.StatusBadRequest, `"field":"closure 1, name"`},
		{`{"closures": [{"name": "hunt", "first": "04-15", "units": ["nowhere"]}]}`, http.StatusUnprocessableEntity, "nowhere"},
		{`{"closures": [{"name": "hunt", "first": "04-15", "last": "05-10", "units": ["gate one"]}], "dry_run": true}`, http.StatusOK, "closure"},
	} {
		if got := r.post("/api/p/nine-gate/closures", one.body); got.StatusCode != one.status || !strings.Contains(got.text, one.says) {
			t.Errorf("%s: %d %s", one.body, got.StatusCode, got.text)
		}
	}
	if strings.Contains(settingsOf(t, r).Text, `"hunt"`) {
		t.Error("a preview or a refusal changes the closures")
	}
	if got := r.post("/api/p/nine-gate/closures", `{"closures": [{"name": "hunt", "first": "04-15", "last": "05-10", "units": ["gate one"]}, {"name": "show", "first": "2028-04-01", "last": ""}], "because": "a test"}`); got.StatusCode != http.StatusOK {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	text := settingsOf(t, r).Text
	for _, want := range []string{`name = "hunt"`, `first = "04-15"`, `"Gate One"`, `last = "2028-04-01"`} {
		if !strings.Contains(text, want) {
			t.Errorf("the settings do not say %s", want)
		}
	}
}

// TestAUnitIsSplitByOutlinesOnThePage cuts a unit by a file of outlines.
func TestAUnitIsSplitByOutlinesOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	box := func(name string, west, east float64) string {
		return fmt.Sprintf(`{"type": "Feature", "properties": {"unit": %q, "name": %q, "min_interval": 2, "max_interval": 4}, "geometry": {"type": "Polygon", "coordinates": [[[%[3]v, 37.2], [%[4]v, 37.2], [%[4]v, 37.202], [%[3]v, 37.202], [%[3]v, 37.2]]]}}`, name, name, west, east)
	}
	file := func(features ...string) string {
		return `{"type": "FeatureCollection", "features": [` + strings.Join(features, ", ") + `]}`
	}
	if got := sendFiles(r, "/api/p/nine-gate/import", `{}`, "square.geojson", file(box("Square", -96.35, -96.346))); got.StatusCode != http.StatusOK || !strings.Contains(got.text, `"changed":true`) {
		t.Fatalf("%d %s", got.StatusCode, got.text)
	}
	halves := file(box("Square west", -96.35, -96.348), box("Square east", -96.348, -96.346))
	split := "/api/p/nine-gate/units/outlines"
	if got := sendFiles(r, split, `{"unit": "Gate One"}`, "parts.geojson", "no outlines"); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, `"file":"parts.geojson"`) || strings.Contains(got.text, os.TempDir()) {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	if got := sendFiles(r, split, `{"unit": "Gate Three"}`, "parts.geojson", halves); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, "outside") {
		t.Errorf("outlines of another unit: %d %s", got.StatusCode, got.text)
	}
	if got := sendFiles(r, split, `{"unit": "Square"}`, "parts.geojson", halves); got.StatusCode != http.StatusOK || !strings.Contains(got.text, "Square west") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
}

// TestAPropertyIsHandedOverAndTakenBack: the archive comes back with a change; where
// both sides changed one value, a side is asked for; the seals hold.
func TestAPropertyIsHandedOverAndTakenBack(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	archive := r.get("/api/p/nine-gate/sent")
	files, err := zip.NewReader(bytes.NewReader([]byte(archive.text)), int64(len(archive.text)))
	if err != nil || len(files.File) == 0 {
		t.Fatalf("%d %.60q: %v", archive.StatusCode, archive.text, err)
	}
	received := "/api/p/nine-gate/received"
	if got := sendFiles(r, received, `{}`, "back.zip", "no archive"); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, `"file":"back.zip"`) {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	if got := sendFiles(r, received, `{}`, "back.zip", archive.text); got.StatusCode != http.StatusOK || !strings.Contains(got.text, "nothing new") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	// The copy is changed on one side, the file on the other: the same value.
	contacts := func(phone string) string {
		return fmt.Sprintf(`{"closures": [{"name": "hunt", "first": "04-15", "last": %q}]}`, phone)
	}
	copied := r.get("/api/p/nine-gate/sent") // what the other side begins from
	if got := r.post("/api/p/nine-gate/closures", contacts("05-10")); got.StatusCode != http.StatusOK {
		t.Fatal(got.text)
	}
	other := start(t, options(t, unpacked(t, copied.text)))
	if got := other.post("/api/p/nine-gate/closures", contacts("05-20")); got.StatusCode != http.StatusOK {
		t.Fatal(got.text)
	}
	back := other.get("/api/p/nine-gate/sent").text
	asked := sendFiles(r, received, `{}`, "back.zip", back)
	var fault struct {
		Error fault `json:"error"`
	}
	if err := json.Unmarshal([]byte(asked.text), &fault); err != nil || asked.StatusCode != http.StatusConflict || len(fault.Error.Contradictions) == 0 {
		t.Fatalf("%d %s: %v", asked.StatusCode, asked.text, err)
	}
	sides := map[string]string{}
	for _, c := range fault.Error.Contradictions {
		sides[c.Name] = "theirs"
	}
	wish, _ := json.Marshal(map[string]any{"sides": sides})
	if got := sendFiles(r, received, `{"sides": {"x": "mine"}}`, "back.zip", back); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, "is not a side") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	if got := sendFiles(r, received, string(wish), "back.zip", back); got.StatusCode != http.StatusOK || !strings.Contains(got.text, "the archive's holds") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	if text := settingsOf(t, r).Text; !strings.Contains(text, `last = "05-20"`) {
		t.Error("the archive's value does not hold")
	}
	list := r.get("/api/p/nine-gate/seals")
	if got := sendFiles(r, "/api/p/nine-gate/seals", `{"stamps": ""}`, "kept.seals", list.text); got.StatusCode != http.StatusOK || !strings.Contains(got.text, `"intact":true`) || !strings.Contains(got.text, "seals of kept.seals hold") {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	if got := sendFiles(r, "/api/p/nine-gate/seals", `{"stamps": "change five"}`, "kept.seals", list.text); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, `"field":"stamp"`) {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	altered := strings.Replace(list.text, "1", "2", 1)
	if got := sendFiles(r, "/api/p/nine-gate/seals", `{}`, "kept.seals", altered); got.StatusCode == http.StatusOK && !strings.Contains(got.text, `"intact":false`) {
		t.Errorf("a list that is altered holds: %d %s", got.StatusCode, got.text)
	}
}

// TestWhatIfOnThePage tries a plan, and asks what was missed; a slip begins nothing.
func TestWhatIfOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	for _, one := range []struct {
		what, body string
		status     int
		says       string
	}{
		{"try", `{"caps": ["acres=30"]}`, http.StatusBadRequest, `"field":"try"`},
		{"try", `{"name": "less", "caps": ["acres"]}`, http.StatusBadRequest, `"field":"cap"`},
		{"try", `{"name": "less", "close": ["summertime"]}`, http.StatusBadRequest, `"field":"close"`},
		{"try", `{"name": "less", "years": "1000"}`, http.StatusBadRequest, `"field":"years"`},
		{"try", `{"name": "less", "burn_days": "many"}`, http.StatusBadRequest, "many"},
		{"missed", `{"unit": "Gate Nowhere"}`, http.StatusUnprocessableEntity, "Gate Nowhere"},
		{"missed", `{"seconds": "0"}`, http.StatusBadRequest, `"field":"seconds"`},
		{"fix", `{"seconds": "soon"}`, http.StatusBadRequest, `\"soon\" is not a number`},
		{"alternatives", `{"within": "-1"}`, http.StatusBadRequest, `"field":"within"`},
		{"alternatives", `{"count": "1.5"}`, http.StatusBadRequest, `"field":"count"`},
		{"wonder", `{}`, http.StatusNotFound, "nothing of that kind"},
	} {
		got := r.post("/api/p/nine-gate/what-if/"+one.what, one.body)
		if got.StatusCode != one.status || !strings.Contains(got.text, one.says) {
			t.Errorf("%s %s: %d %s", one.what, one.body, got.StatusCode, got.text)
		}
	}
	c, _, _, _ := r.hub.listen(0)
	defer r.hub.leave(c)
	ask := func(what, body string) whatIfState {
		if got := r.post("/api/p/nine-gate/what-if/"+what, body); got.StatusCode != http.StatusAccepted {
			t.Fatalf("%s: %d %s", what, got.StatusCode, got.text)
		}
		for e := range c {
			if state, ok := e.Data.(whatIfState); ok && state.IsOver && state.What == what {
				return state
			}
		}
		t.Fatal("nothing more is told")
		panic("not reached")
	}
	if got := ask("try", `{"name": "less", "caps": ["acres=60"], "seconds": "1"}`); got.Fault != nil || len(got.Answer.Plans) != 1 || !strings.Contains(fmt.Sprint(got.Answer.Said), "a draft (less)") {
		t.Errorf("%+v %+v %+v", got, got.Answer, got.Fault)
	}
	if got := ask("missed", `{"seconds": "1"}`); got.Fault != nil || len(got.Answer.Said) == 0 || len(got.Answer.Cautions) == 0 {
		t.Errorf("%+v %+v %+v", got, got.Answer, got.Fault)
	}
	if got := ask("fix", `{"seconds": "1"}`); got.Fault != nil || !strings.Contains(fmt.Sprint(got.Answer.Said), "can stand together") {
		t.Errorf("%+v %+v %+v", got, got.Answer, got.Fault)
	}
	shown := r.get("/api/p/nine-gate/what-if")
	if shown.StatusCode != http.StatusOK || !strings.Contains(shown.text, `"name": "less"`) && !strings.Contains(shown.text, `"name":"less"`) {
		t.Errorf("%d %.400s", shown.StatusCode, shown.text)
	}
}

// unpacked gives the property of an archive as a file of its own.
func unpacked(t *testing.T, archive string) string {
	t.Helper()
	z, err := zip.NewReader(strings.NewReader(archive), int64(len(archive)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if !strings.HasSuffix(f.Name, extension) {
			continue
		}
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		defer in.Close()
		path := filepath.Join(t.TempDir(), "nine-gate"+extension)
		out, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(out, in); err != nil {
			t.Fatal(err)
		}
		if err := out.Close(); err != nil {
			t.Fatal(err)
		}
		return path
	}
	t.Fatal("the archive holds no property")
	return ""
}
