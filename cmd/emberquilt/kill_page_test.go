package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
)

// killed is what a page's server acknowledged before it was killed, and what was asked
// of it in that moment.
type killed struct {
	steps   int
	edits   []habitat.CellEdit
	isDraft bool
	plans   int
	// rounds counts the units of each round of imports that was acknowledged last,
	// next those of the one that is under way.
	rounds, next map[string]int
	// pending is edit, import, keep, or nothing.
	pending string
}

// TestKilledPageLeavesEverythingWhole kills the page's server at moments drawn from a
// seed, while it is edited, imported into and plans are kept. The property is intact
// then; every plan that was acknowledged is there; the draft is the last that was
// acknowledged, or the one that was asked for in that moment; an import is there whole
// or not at all. EMBERQUILT_KILLS says how many times; CI takes 20.
func TestKilledPageLeavesEverythingWhole(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	count := 8
	if text := os.Getenv("EMBERQUILT_KILLS"); text != "" {
		var err error
		if count, err = strconv.Atoi(text); err != nil {
			t.Fatal(err)
		}
	}
	program := filepath.Join(t.TempDir(), "emberquilt")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	folder := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", filepath.Join(folder, "cache"))
	property := filepath.Join(folder, "farm.emberquilt")
	demo := "../../testdata/demo/nine-gate/"
	run(t, "2026-11-25", "new", property, "--settings", demo+"settings.toml")
	run(t, "2026-11-25", "import", demo+"units.geojson", demo+"burns.csv", "--property", property)
	run(t, "2026-11-25", "plan", "--property", property)

	const seed = 17
	r := rand.New(rand.NewPCG(seed, 0))
	var total, during = map[string]int{}, map[string]int{}
	round := 0
	for i := range count {
		k := killPage(t, r, program, property, &round, total)
		during[k.pending]++
		k.check(t, i, property)
		if t.Failed() {
			break
		}
	}
	t.Logf("seed %d: killed %d times, during %v; acknowledged before: %v", seed, count, during, total)
}

// killPage serves the property, changes it through the page, and kills the server.
func killPage(t *testing.T, r *rand.Rand, program, property string, round *int, total map[string]int) *killed {
	t.Helper()
	server := exec.Command(program, "page", property, "--no-browser", "--json")
	server.Env = append(os.Environ(), "EMBERQUILT_TODAY=2026-11-25")
	out, err := server.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	defer server.Wait()
	defer server.Process.Kill()
	var printed struct {
		Address string `json:"address"`
	}
	if err := json.NewDecoder(out).Decode(&printed); err != nil {
		t.Fatal(err)
	}
	jar, _ := cookiejar.New(nil)
	client := &http.Client{Jar: jar, Timeout: 30 * time.Second}
	answer, err := client.Get(printed.Address)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	at, err := url.Parse(printed.Address)
	if err != nil {
		t.Fatal(err)
	}
	base := "http://" + at.Host + "/api/p/farm/"

	k := &killed{}
	ask := func(method, path, kind string, body []byte, into any) (isThere bool) {
		q, err := http.NewRequest(method, base+path, bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		if kind != "" {
			q.Header.Set("Content-Type", kind)
		}
		answer, err := client.Do(q)
		if err != nil {
			return false // killed
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		if err != nil {
			return false
		}
		if answer.StatusCode != http.StatusOK {
			return true // refused: what was asked cannot be
		}
		if err := json.Unmarshal(text, into); err != nil {
			t.Fatalf("%s: %v: %.200s", path, err, text)
		}
		return true
	}
	var state app.EditState
	if !ask("GET", "draft", "", nil, &state) {
		t.Fatal("the draft cannot be read")
	}
	k.take(&state)
	k.plans, k.rounds = plansOf(t, property), roundsOf(t, property)
	timer := time.AfterFunc(time.Duration(30+r.IntN(500))*time.Millisecond, func() { server.Process.Kill() })
	defer timer.Stop()
	for {
		switch n := r.IntN(10); {
		case n == 0 && len(k.edits) > 0:
			k.pending = "keep"
			var kept struct{ Plan int }
			if !ask("POST", "draft/keep", "application/json", []byte(`{"note":"kept"}`), &kept) {
				return k
			}
			if kept.Plan > 0 {
				k.steps, k.edits, k.isDraft = 0, nil, false
				k.plans++
			}
		case n <= 2:
			k.pending = "import"
			*round++
			k.next = map[string]int{fmt.Sprintf("round %d", *round): killedUnits}
			body, kind := importOf(t, *round)
			var done struct {
				Changed bool `json:"changed"`
			}
			if !ask("POST", "import", kind, body, &done) {
				return k
			}
			if !done.Changed {
				t.Fatal("an import changes nothing")
			}
			k.rounds = k.next
		default:
			k.pending = "edit"
			row := &state.Edited.Rows[r.IntN(len(state.Edited.Rows))]
			step := fmt.Sprintf(`{"plan":0,"step":[{"unit":%q,"year":%d,"do":%q}]}`, row.Unit, state.Edited.Years[r.IntN(len(state.Edited.Years))], []string{"rest", "burn", "free"}[r.IntN(3)])
			after := app.EditState{}
			if !ask("POST", "draft/edit", "application/json", []byte(step), &after) {
				return k
			}
			if after.Edited != nil {
				k.take(&after)
			}
		}
		total[k.pending]++
		k.pending = ""
	}
}

func (k *killed) take(state *app.EditState) {
	k.steps, k.edits, k.isDraft = state.Undo, state.Edits, state.IsDraft
}

// units of each round; they stand beside those of the demo.
const killedUnits = 40

func importOf(t *testing.T, round int) (body []byte, kind string) {
	t.Helper()
	var list strings.Builder
	list.WriteString("unit,acres,min_interval,max_interval,notes\n")
	for u := range killedUnits {
		// The acres stay: a unit that grows can leave no room for what was edited, and
		// such an edit falls away.
		fmt.Fprintf(&list, "k%02d,%d,1,40,round %d\n", u, 5+u%7, round)
	}
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	err := form.WriteField("wish", `{"dry_run":false}`)
	part, err2 := form.CreateFormFile("file", "units.csv")
	if err = errors.Join(err, err2); err == nil {
		_, err = part.Write([]byte(list.String()))
	}
	if err = errors.Join(err, form.Close()); err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), form.FormDataContentType()
}

// roundsOf counts the imported units of each round that are in the file.
func roundsOf(t *testing.T, property string) map[string]int {
	rounds := map[string]int{}
	opened(t, property, func(s *app.Session) {
		for i := range s.Units {
			if strings.HasPrefix(s.Units[i].ID, "k") {
				rounds[s.Units[i].Notes]++
			}
		}
	})
	return rounds
}

func opened(t *testing.T, property string, do func(*app.Session)) {
	t.Helper()
	day := app.DemoToday
	s, err := app.Open(context.Background(), property, app.ToRead, app.Environment{Today: day, Moment: day.Time(), Version: "test"})
	if err != nil {
		t.Fatalf("after a kill: %v", err)
	}
	defer s.Close()
	do(s)
}

func plansOf(t *testing.T, property string) (count int) {
	opened(t, property, func(s *app.Session) { count = len(s.Plans) })
	return count
}

// check holds the file against what was acknowledged.
func (k *killed) check(t *testing.T, n int, property string) {
	t.Helper()
	checkWhole(t, property)
	opened(t, property, func(s *app.Session) {
		d, _, err := s.Store.Draft(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		steps, edits := 0, []habitat.CellEdit(nil)
		if d != nil {
			steps, edits = len(d.Steps), d.Edits()
		}
		isKept := k.pending == "keep" && len(s.Plans) == k.plans+1
		switch {
		case len(s.Plans) != k.plans && !isKept:
			t.Errorf("kill %d during %q: %d plans were acknowledged, %d are there", n, k.pending, k.plans, len(s.Plans))
		case isKept && d != nil:
			t.Errorf("kill %d: plan %d is kept, and its draft is there", n, len(s.Plans))
		case isKept:
		case steps == k.steps && !slices.Equal(edits, k.edits):
			t.Errorf("kill %d during %q: the draft holds %v, acknowledged were %v", n, k.pending, edits, k.edits)
		case steps != k.steps && !(k.pending == "edit" && steps == k.steps+1):
			t.Errorf("kill %d during %q: %d steps were acknowledged, %d are there: %+v; acknowledged edits %v", n, k.pending, k.steps, steps, d, k.edits)
		}
	})
	rounds := roundsOf(t, property)
	if !maps.Equal(rounds, k.rounds) && !(k.pending == "import" && maps.Equal(rounds, k.next)) {
		t.Errorf("kill %d during %q: %v was acknowledged, there are %v", n, k.pending, k.rounds, rounds)
	}
}
