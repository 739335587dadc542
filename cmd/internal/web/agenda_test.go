package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"mime/multipart"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/cmd/internal/app"
)

// TestTheWeekOnThePage shows what seven days ask for, in the words of the command.
func TestTheWeekOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	answer := r.get("/api/p/nine-gate/week")
	var got struct {
		Week struct {
			First    string
			Last     string
			Tasks    []map[string]any
			Budget   struct{ Words []string }
			Cautions []string
		}
		Open []string
		None map[string]string
	}
	if err := json.Unmarshal([]byte(answer.text), &got); err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("%d %s: %v", answer.StatusCode, answer.text, err)
	}
	if got.Week.First != "2026-11-25" || got.Week.Last != "2026-12-01" || len(got.Week.Tasks) == 0 || len(got.Week.Budget.Words) == 0 || len(got.Week.Cautions) == 0 {
		t.Errorf("the week is %+v", got.Week)
	}
	if got.None["open"] == "" || got.Open == nil {
		t.Errorf("%s", answer.text)
	}
}

// TestChangesAndWhoMakesThem keeps a name on the page: it stands beside the next change
// in the list, and nowhere before.
func TestChangesAndWhoMakesThem(t *testing.T) {
	o := options(t, demoProperty(t, t.TempDir()))
	name := ""
	o.Environment = func() (app.Environment, error) {
		from, err := environment()
		from.By = name
		return from, err
	}
	r := start(t, o)
	if a := r.post("/api/me", `{"name":"A. Baker"}`); a.StatusCode != http.StatusNotFound {
		t.Errorf("where no name can be kept: %d %s", a.StatusCode, a.text)
	}
	r.options.KeepName = func(n string) error {
		if n == "no" {
			return errors.New("the disk is full")
		}
		name = n
		return nil
	}
	for body, says := range map[string]string{`{"name":"two\nlines"}`: `"field":"name"`, `{"name":"no"}`: "the disk is full", `{"who":"x"}`: "not one of this page"} {
		if a := r.post("/api/me", body); a.StatusCode < 400 || !strings.Contains(a.text, says) || name != "" {
			t.Errorf("%s: %d %s, kept %q", body, a.StatusCode, a.text, name)
		}
	}
	if a := r.post("/api/me", `{"name":" A. Baker "}`); a.StatusCode != http.StatusOK || a.text != `{"by":"A. Baker"}` || name != "A. Baker" {
		t.Errorf("%d %s, kept %q", a.StatusCode, a.text, name)
	}
	if a := r.get("/api/properties"); !strings.Contains(a.text, `"by":"A. Baker"`) {
		t.Error(a.text)
	}
	if a := r.post("/api/p/nine-gate/units/rename", `{"unit": "Gate One", "name": "Gate Nought", "because": "a test"}`); a.StatusCode != http.StatusOK {
		t.Fatal(a.text)
	}
	read := func(query string) (got struct {
		Changes []shownChange
		Count   int
	}) {
		t.Helper()
		a := r.get("/api/p/nine-gate/changes" + query)
		if err := json.Unmarshal([]byte(a.text), &got); err != nil || a.StatusCode != http.StatusOK {
			t.Fatalf("%d %s", a.StatusCode, a.text)
		}
		return got
	}
	all := read("")
	if all.Count < 3 || len(all.Changes) != all.Count || !strings.Contains(all.Changes[0].Heading, "by A. Baker") || !strings.Contains(all.Changes[0].Heading, "a test") || len(all.Changes[0].What) == 0 {
		t.Errorf("the newest change is %+v of %d", all.Changes[0], all.Count)
	}
	if !strings.Contains(all.Changes[1].Heading, "by nobody named") {
		t.Errorf("the change before is %+v", all.Changes[1])
	}
	if one := read("?unit=Gate+Nought"); one.Count == 0 || one.Count >= all.Count {
		t.Errorf("%d of %d changes speak of one unit", one.Count, all.Count)
	}
	if none := read("?since=2027-01-01"); none.Count != 0 || none.Changes == nil {
		t.Errorf("%+v after the last day", none)
	}
	for query, says := range map[string]string{"?since=tomorrow": "is not a date", "?unit=Gate+Nowhere": "Gate Nowhere"} {
		if a := r.get("/api/p/nine-gate/changes" + query); a.StatusCode < 400 || !strings.Contains(a.text, says) {
			t.Errorf("%s: %d %s", query, a.StatusCode, a.text)
		}
	}
	if a := r.post("/api/me", `{"name":""}`); a.StatusCode != http.StatusOK || name != "" {
		t.Errorf("the name stays: %s", a.text)
	}
}

// TestNeighborsOnThePage says of two units what they are, and takes it from the shapes.
func TestNeighborsOnThePage(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	ground := func() (got struct {
		Units   []map[string]any
		Pairs   []keptPair
		Borders []map[string]any
	}) {
		t.Helper()
		a := r.get("/api/p/nine-gate/ground")
		if err := json.Unmarshal([]byte(a.text), &got); err != nil {
			t.Fatalf("%d %s", a.StatusCode, a.text)
		}
		return got
	}
	units := ground().Units
	one, two := fmt.Sprint(units[0]["unit"]), fmt.Sprint(units[len(units)-1]["unit"])
	kept := func() string {
		for _, pair := range ground().Pairs {
			if pair.A == min(one, two) && pair.B == max(one, two) {
				return string(pair.Kind)
			}
		}
		return ""
	}
	wish := func(a, b, as string, isDry bool) string {
		text, _ := json.Marshal(map[string]any{"units": [2]string{a, b}, "as": as, "because": "a test", "dry_run": isDry})
		return string(text)
	}
	for _, c := range []struct {
		path, body string
		status     int
		says, kept string
	}{
		{"neighbors", wish(one, one, "apart", false), http.StatusBadRequest, "is paired with itself", ""},
		{"neighbors", wish(one, "Gate Nowhere", "apart", false), http.StatusUnprocessableEntity, "Gate Nowhere", ""},
		{"neighbors", wish(one, two, "friends", false), http.StatusBadRequest, "does not say what the two units are", ""},
		{"neighbors", wish(one, two, "apart", true), http.StatusOK, one, ""},
		{"neighbors", wish(one, two, "apart", false), http.StatusOK, one, "apart"},
		{"neighbors", wish(one, two, "none", false), http.StatusOK, one, ""},
		{"neighbors/shapes", `{"longer_than": "far", "dry_run": true}`, http.StatusBadRequest, `\"far\" is not a number`, ""},
		{"neighbors/shapes", `{"apart_with": ["Gate Nowhere"]}`, http.StatusUnprocessableEntity, "Gate Nowhere", ""},
		{"neighbors/shapes", `{"longer_than": "100", "dry_run": true}`, http.StatusOK, `"words"`, ""},
	} {
		a := r.post("/api/p/nine-gate/"+c.path, c.body)
		if a.StatusCode != c.status || !strings.Contains(a.text, c.says) {
			t.Errorf("%s %s: %d %s", c.path, c.body, a.StatusCode, a.text)
		}
		if got := kept(); got != c.kept {
			t.Errorf("%s %s: they are kept as %q, not %q", c.path, c.body, got, c.kept)
		}
	}
	apart, _ := json.Marshal(map[string]any{"apart_with": []string{fmt.Sprint(ground().Borders[0]["unit_a"])}, "because": "a test"})
	if a := r.post("/api/p/nine-gate/neighbors/shapes", string(apart)); a.StatusCode != http.StatusOK || strings.Contains(a.text, `"changes":0`) {
		t.Errorf("%d %s", a.StatusCode, a.text)
	}
	if got := ground().Borders[0]["kept_as"]; got != "apart" {
		t.Errorf("the units are kept as %v", got)
	}
}

// TestSealsAreSignedOnThePage signs the list with a key that OpenSSH made; the check
// takes it with the public key, and not with another.
func TestSealsAreSignedOnThePage(t *testing.T) {
	keygen, err := exec.LookPath("ssh-keygen")
	if err != nil {
		t.Skip("there is no ssh-keygen here: ", err)
	}
	folder := t.TempDir()
	key := func(name, passphrase string) (private, public string) {
		path := filepath.Join(folder, name)
		if out, err := exec.Command(keygen, "-q", "-t", "ed25519", "-N", passphrase, "-f", path).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		both := [2]string{}
		for i, end := range []string{"", ".pub"} {
			text, err := os.ReadFile(path + end)
			if err != nil {
				t.Fatal(err)
			}
			both[i] = string(text)
		}
		return both[0], both[1]
	}
	own, public := key("own", "")
	locked, _ := key("locked", "a passphrase")
	_, stranger := key("stranger", "")

	r := start(t, options(t, demoProperty(t, t.TempDir())))
	sign := func(text string) answered {
		body, _ := json.Marshal(map[string]string{"key": text})
		return r.post("/api/p/nine-gate/seals/sign", string(body))
	}
	for text, says := range map[string]string{"": "a private key as ssh-keygen makes it", public: "a private key as ssh-keygen makes it", locked: "locked by a passphrase"} {
		if a := sign(text); a.StatusCode != http.StatusBadRequest || !strings.Contains(a.text, says) || strings.Contains(a.text, "PRIVATE KEY") {
			t.Errorf("%.20q: %d %s", text, a.StatusCode, a.text)
		}
	}
	answer := sign(own)
	var signed struct{ Text, Signature string }
	if err := json.Unmarshal([]byte(answer.text), &signed); err != nil || answer.StatusCode != http.StatusOK || signed.Signature == "" {
		t.Fatalf("%d %s", answer.StatusCode, answer.text)
	}
	if list := r.get("/api/p/nine-gate/seals"); list.text != signed.Text {
		t.Error("the list that is signed is another one")
	}
	check := func(files map[string]string) answered {
		t.Helper()
		var body bytes.Buffer
		form := multipart.NewWriter(&body)
		form.WriteField("wish", `{"stamps": ""}`)
		for name, text := range files {
			part, err := form.CreateFormFile("file", name)
			if err != nil {
				t.Fatal(err)
			}
			part.Write([]byte(text))
		}
		form.Close()
		q := r.request(http.MethodPost, "/api/p/nine-gate/seals", body.String())
		q.Header.Set("Content-Type", form.FormDataContentType())
		return r.do(q)
	}
	if a := check(map[string]string{"kept.seals": signed.Text, "kept.seals.sig": signed.Signature, "own.pub": public}); a.StatusCode != http.StatusOK || !strings.Contains(a.text, `"intact":true`) || !strings.Contains(a.text, "signed by") {
		t.Errorf("%d %s", a.StatusCode, a.text)
	}
	for _, files := range []map[string]string{
		{"kept.seals": signed.Text, "kept.seals.sig": signed.Signature, "stranger.pub": stranger},
		{"kept.seals": signed.Text, "own.pub": public},
	} {
		if a := check(files); !strings.Contains(a.text, `"intact":false`) {
			t.Errorf("%d %s", a.StatusCode, a.text)
		}
	}
	for _, files := range []map[string]string{{"own.pub": public}, {"kept.seals": signed.Text, "own.pub": "no key"}} {
		if a := check(files); a.StatusCode != http.StatusBadRequest {
			t.Errorf("%d %s", a.StatusCode, a.text)
		}
	}
}
