package web

import (
	"bufio"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/source"
	"emberquilt/testdata/demo"
)

func environment() (app.Environment, error) {
	return app.Environment{Today: app.DemoToday, Moment: app.DemoToday.Time().Add(12 * time.Hour), Version: "test"}, nil
}

// demoFile makes the demo's small property with its plan, once for all tests.
var demoFile = sync.OnceValues(func() ([]byte, error) {
	folder, err := os.MkdirTemp("", "emberquilt-test-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	path, err := makeDemo(context.Background(), folder)
	if err != nil {
		return nil, err
	}
	return os.ReadFile(path)
})

// demoProperty gives the demo's small property with its plan, as a file in a folder.
func demoProperty(t *testing.T, folder string) string {
	t.Helper()
	text, err := demoFile()
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "nine-gate"+extension)
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func makeDemo(ctx context.Context, folder string) (string, error) {
	var small app.DemoProperty
	for _, p := range app.DemoProperties() {
		if p.Name == "nine-gate" {
			small = p
		}
	}
	from, _ := environment()
	own, err := fs.Sub(demo.Files, small.Name)
	if err != nil {
		return "", err
	}
	property, err := demoSettings(own)
	if err != nil {
		return "", err
	}
	path := filepath.Join(folder, small.Name+extension)
	s, err := app.Create(ctx, path, property, from)
	if err != nil {
		return "", err
	}
	defer s.Close() // closed already where all went well
	weather, err := app.DemoWeather(ctx)
	if err != nil {
		return "", err
	}
	if err := s.FillDemo(ctx, small, own, weather); err != nil {
		return "", err
	}
	if _, err := s.PlanDemo(ctx, small); err != nil {
		return "", err
	}
	return path, s.Close()
}

// running is a server with a browser's half of the talk.
type running struct {
	*Server
	t      *testing.T
	cookie *http.Cookie
}

func options(t *testing.T, path string) Options {
	return Options{Path: path, Environment: environment, Claims: t.TempDir(), Papers: []Paper{{File: "plain.txt", About: "a paper", Write: func(_ context.Context, w io.Writer, c *app.Contents) error {
		_, err := fmt.Fprintln(w, c.Program.Plan)
		return err
	}}}}
}

// start serves until the test ends.
func start(t *testing.T, o Options) *running {
	t.Helper()
	s, err := Listen(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("the server ended with %v", err)
		}
	})
	r := &running{Server: s, t: t}
	answer := r.do(r.request("GET", strings.TrimPrefix(s.Address(), r.origin()), ""))
	if answer.StatusCode != http.StatusSeeOther || answer.Header.Get("Location") != "/" {
		t.Fatalf("the printed address gives %d to %q", answer.StatusCode, answer.Header.Get("Location"))
	}
	if len(answer.Cookies()) != 1 {
		t.Fatal("the printed address sets no cookie")
	}
	r.cookie = answer.Cookies()[0]
	if !r.cookie.HttpOnly || r.cookie.SameSite != http.SameSiteStrictMode {
		t.Errorf("the cookie is %+v", r.cookie)
	}
	return r
}

func (r *running) origin() string { return fmt.Sprintf("http://127.0.0.1:%d", r.port) }

func (r *running) request(method, path, body string) *http.Request {
	r.t.Helper()
	q, err := http.NewRequest(method, r.origin()+path, strings.NewReader(body))
	if err != nil {
		r.t.Fatal(err)
	}
	if r.cookie != nil {
		q.AddCookie(r.cookie)
	}
	return q
}

type answered struct {
	*http.Response
	text string
}

func (r *running) do(q *http.Request) answered {
	r.t.Helper()
	client := http.Client{Transport: &http.Transport{DisableKeepAlives: true}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }, Timeout: 20 * time.Second}
	answer, err := client.Do(q)
	if err != nil {
		r.t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		r.t.Fatal(err)
	}
	return answered{answer, string(text)}
}

func (r *running) get(path string) answered { r.t.Helper(); return r.do(r.request("GET", path, "")) }

func (r *running) post(path, body string) answered {
	r.t.Helper()
	return r.do(r.request("POST", path, body))
}

func TestScreensAreServed(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	for _, path := range []string{"/", "/p/nine-gate/season", "/static/app.js", "/static/echarts.min.js", "/api/properties", "/api/p/nine-gate", "/api/p/nine-gate/season",
		"/api/p/nine-gate/plan", "/api/p/nine-gate/map", "/api/p/nine-gate/ground", "/api/p/nine-gate/units", "/api/p/nine-gate/burns", "/api/p/nine-gate/papers", "/api/p/nine-gate/papers/plain.txt"} {
		answer := r.get(path)
		if answer.StatusCode != http.StatusOK {
			t.Errorf("%s: %d %s", path, answer.StatusCode, answer.text)
		}
		if got := answer.Header.Get("Content-Security-Policy"); !strings.HasPrefix(got, "default-src 'self';") || strings.Contains(got, "unsafe") {
			t.Errorf("%s: policy %q", path, got)
		}
	}
}

// TestDocumentsNameWhatTheirScreensNeed holds the document of every screen to the files:
// a module that it does not name waits for the one that imports it, one that no screen
// needs is fetched in vain, and what does not bear the sum of all would be kept by a
// browser past a change.
func TestDocumentsNameWhatTheirScreensNeed(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	screens, err := fs.Glob(static, "static/screens/*.js")
	if err != nil || len(screens) < 10 {
		t.Fatal(screens, err)
	}
	references := regexp.MustCompile(`(?:href|src)="(/static/[^"]*)"`)
	names := func(document string) map[string]string {
		named := map[string]string{}
		for _, found := range references.FindAllStringSubmatch(document, -1) {
			named[strings.SplitN(found[1], "/", 4)[3]] = found[1]
		}
		return named
	}
	everywhere, checked := map[string]int{}, map[string]bool{}
	for _, screen := range screens {
		screen := strings.TrimSuffix(path.Base(screen), ".js")
		at := "/p/nine-gate/" + screen
		if screen == "clients" || screen == "first" {
			at = "/" + screen
		}
		named := names(r.get(at).text)
		if named["screens/"+screen+".js"] == "" || named["app.js"] == "" || named["lit-html/lit-html.js"] == "" || named["style.css"] == "" {
			t.Errorf("the document of %s names %v", screen, named)
		}
		for name, where := range named {
			everywhere[name]++
			text, err := static.ReadFile("static/" + name)
			if err != nil {
				t.Errorf("%s names %s: %v", screen, name, err)
			}
			for _, found := range imported().FindAllSubmatch(text, -1) {
				if one := path.Join(path.Dir(name), string(found[1])); named[one] == "" {
					t.Errorf("%s: %s imports %s, which the document does not name", screen, name, one)
				}
			}
			if checked[where] {
				continue
			}
			checked[where] = true
			answer := r.get(where)
			if answer.text != string(text) || !strings.Contains(answer.Header.Get("Cache-Control"), "immutable") {
				t.Errorf("%s: %d, Cache-Control %q; want the file", where, answer.StatusCode, answer.Header.Get("Cache-Control"))
			}
			gone := r.get(where + "x")
			if got := gone.Header.Get("Cache-Control"); gone.StatusCode != http.StatusNotFound || strings.Contains(got, "immutable") {
				t.Errorf("%sx: %d, Cache-Control %q", where, gone.StatusCode, got)
			}
		}
	}
	err = fs.WalkDir(static, "static", func(file string, _ fs.DirEntry, err error) error {
		if name := strings.TrimPrefix(file, "static/"); err == nil && strings.HasSuffix(name, ".js") && everywhere[name] == 0 && name != "screen.js" {
			t.Errorf("no document names %s", name)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	// A screen that is not known has a document too, and the first one that of what it shows.
	if named := names(r.get("/p/nine-gate/nothing").text); named["app.js"] == "" || named["screens/season.js"] != "" {
		t.Errorf("an unknown screen names %v", named)
	}
	if named := names(r.get("/").text); named["screens/season.js"] == "" || named["screens/plan.js"] != "" {
		t.Errorf("the first screen names %v", named)
	}
}

func TestStrangersAreRefused(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	for _, path := range []string{"/", "/api/properties", "/api/events", "/static/app.js", "/api/p/nine-gate"} {
		q := r.request("GET", path, "")
		q.Header.Del("Cookie")
		if got := r.do(q).StatusCode; got != http.StatusForbidden {
			t.Errorf("%s without a cookie: %d", path, got)
		}
		q.AddCookie(&http.Cookie{Name: r.cookie.Name, Value: r.cookie.Value[1:] + "x"})
		if got := r.do(q).StatusCode; got != http.StatusForbidden {
			t.Errorf("%s with another cookie: %d", path, got)
		}
		q = r.request("GET", path, "")
		q.Host = fmt.Sprintf("burns.example:%d", r.port)
		if got := r.do(q).StatusCode; got != http.StatusForbidden {
			t.Errorf("%s under another name: %d", path, got)
		}
		q.Host = "127.0.0.1:1"
		if got := r.do(q).StatusCode; got != http.StatusForbidden {
			t.Errorf("%s under another port: %d", path, got)
		}
	}
	bare := r.request("GET", "/?token=guessed", "")
	bare.Header.Del("Cookie")
	if answer := r.do(bare); answer.StatusCode != http.StatusForbidden || len(answer.Cookies()) > 0 {
		t.Errorf("a guessed token: %d", answer.StatusCode)
	}
}

// A page of another site may make the browser send a form, with whatever it knows.
func TestCrossSiteWritesAreRefused(t *testing.T) {
	path := demoProperty(t, t.TempDir())
	r := start(t, options(t, path))
	before := r.get("/api/p/nine-gate").text
	for _, headers := range []map[string]string{
		{"Sec-Fetch-Site": "cross-site"},
		{"Sec-Fetch-Site": "same-site"},
		{"Origin": "http://burns.example"},
		{"Origin": fmt.Sprintf("http://127.0.0.1:%d", r.port+1)},
		{"Origin": "null"},
	} {
		q := r.request("POST", "/api/p/nine-gate/tasks", `{"unit":"x"}`)
		for name, value := range headers {
			q.Header.Set(name, value)
		}
		if answer := r.do(q); answer.StatusCode != http.StatusForbidden {
			t.Errorf("%v: %d %s", headers, answer.StatusCode, answer.text)
		}
	}
	if after := r.get("/api/p/nine-gate").text; after != before {
		t.Error("a refused write changed the property")
	}
}

func TestPathsOfTheClientLeadNowhere(t *testing.T) {
	folder := t.TempDir()
	demoProperty(t, folder)
	secret := filepath.Join(filepath.Dir(folder), "secret"+extension)
	if err := os.WriteFile(secret, []byte("secret"), 0o600); err != nil {
		t.Fatal(err)
	}
	r := start(t, options(t, folder))
	for _, path := range []string{"/api/p/..%2Fsecret", "/api/p/%2e%2e%2fsecret/units", "/api/p/" + url.PathEscape(secret), "/static/..%2f..%2fserver.go", "/static/%2e%2e/doc.go", "/p/..%2fsecret", "/api/p/nine-gate/papers/..%2f..%2fnine-gate.emberquilt", "/api/p/nine-gate%00"} {
		answer := r.get(path)
		if answer.StatusCode == http.StatusOK && !strings.HasPrefix(answer.text, "<!doctype html>") || strings.Contains(answer.text, "package web") {
			t.Errorf("%s: %d %.80s", path, answer.StatusCode, answer.text)
		}
	}
}

func TestBodiesAndHeadersAreLimited(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	if got := r.post("/api/p/nine-gate/tasks", `{"unit":"`+strings.Repeat("x", mostBody)+`"}`); got.StatusCode != http.StatusRequestEntityTooLarge || !strings.Contains(got.text, "the request is larger than 1 MB; nothing was taken") {
		t.Errorf("a body above the limit: %d %s", got.StatusCode, got.text)
	}
	q := r.request("GET", "/api/properties", "")
	q.Header.Set("X-Long", strings.Repeat("x", 2*mostHeader))
	if got := r.do(q).StatusCode; got != http.StatusRequestHeaderFieldsTooLarge {
		t.Errorf("a header above the limit: %d", got)
	}
}

func TestOnlyTheLoopbackIsListenedOn(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	for _, l := range r.listeners {
		if at := l.Addr().(*net.TCPAddr); !at.IP.IsLoopback() {
			t.Errorf("it listens on %s", at)
		}
	}
	all, err := net.InterfaceAddrs()
	if err != nil {
		t.Skip(err)
	}
	for _, a := range all {
		if ip, ok := a.(*net.IPNet); ok && !ip.IP.IsLoopback() && ip.IP.To4() != nil {
			if c, err := net.DialTimeout("tcp", net.JoinHostPort(ip.IP.String(), fmt.Sprint(r.port)), time.Second); err == nil {
				c.Close()
				t.Errorf("it answers at %s", ip.IP)
			}
		}
	}
}

// secondIsRefused serves what the options name, sees a second server named the first's
// address, and ends.
func secondIsRefused(t *testing.T, o Options) {
	t.Helper()
	first, err := Listen(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- first.Serve(ctx) }()
	_, err = Listen(t.Context(), o)
	var served *ServedError
	if !errors.As(err, &served) || served.Address != first.Address() {
		t.Errorf("a second server: %v", err)
	}
	stop()
	<-ended
}

func TestSecondServerNamesTheFirst(t *testing.T) {
	path := demoProperty(t, t.TempDir())
	o := options(t, path)
	secondIsRefused(t, o)
	// The first is gone: its claim is, too.
	third, err := Listen(t.Context(), o)
	if err != nil {
		t.Fatalf("after the first ended: %v", err)
	}
	// One that was killed leaves its claim, which nobody answers.
	for _, l := range third.listeners {
		l.Close()
	}
	fourth, err := Listen(t.Context(), o)
	if err != nil {
		t.Fatalf("after the third was killed: %v", err)
	}
	fourth.close()
	third.close()
}

// A server of a folder shows each of its properties, opened or not: a second server of one
// of them says so. One of a file elsewhere is no second one.
func TestSecondServerOnAFileOfAFolder(t *testing.T) {
	folder := t.TempDir()
	path := demoProperty(t, folder)
	o := options(t, folder)
	r := start(t, o)
	o.Path = path
	_, err := Listen(t.Context(), o)
	var served *ServedError
	if !errors.As(err, &served) || served.Address != r.Address() {
		t.Errorf("a server of a file of the folder: %v", err)
	}
	o.Path = demoProperty(t, t.TempDir())
	other, err := Listen(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	other.close()
}

// TestASolveEndsWhenNobodyListens: one solve at a time; the last one goes on as long as a
// page listens, and is ended when none has for a while.
func TestASolveEndsWhenNobodyListens(t *testing.T) {
	o := options(t, demoProperty(t, t.TempDir()))
	o.alone = 40 * time.Millisecond
	r := start(t, o)
	p, err := r.find("nine-gate")
	if err != nil {
		t.Fatal(err)
	}
	page, _, _, _ := r.hub.listen(0)
	first, second := make(chan struct{}), make(chan struct{})
	var isFirstOver, hasLeft atomic.Bool
	p.solve(func(ctx context.Context) {
		<-ctx.Done()
		isFirstOver.Store(true)
		close(first)
	})
	p.solve(func(ctx context.Context) {
		if !isFirstOver.Load() {
			t.Error("two solves run at once")
		}
		<-ctx.Done()
		if !hasLeft.Load() {
			t.Error("a solve is ended while a page listens")
		}
		close(second)
	})
	<-first
	// Some looks of the watch go by: it sees the page.
	for range 12 {
		tick := time.NewTimer(o.alone / 8)
		select {
		case <-second:
		case <-tick.C:
		}
	}
	hasLeft.Store(true)
	r.hub.leave(page)
	<-second
}

func TestPortThatIsTaken(t *testing.T) {
	taken, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	o := options(t, t.TempDir())
	o.Port = taken.Addr().(*net.TCPAddr).Port
	_, err = Listen(t.Context(), o)
	if !source.Is(err) || !strings.Contains(err.Error(), fmt.Sprintf("--port: cannot listen on port %d", o.Port)) {
		t.Errorf("got %v", err)
	}
}

func TestNothingToShow(t *testing.T) {
	folder := t.TempDir()
	if _, err := Listen(t.Context(), options(t, filepath.Join(folder, "none"+extension))); !source.Is(err) {
		t.Errorf("a file that is not there: %v", err)
	}
	other := filepath.Join(folder, "other"+extension)
	if err := os.WriteFile(other, []byte("not a property"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Listen(t.Context(), options(t, other)); err == nil {
		t.Error("a file that is no property is served")
	}
}

// heard reads the events of a stream.
func heard(t *testing.T, r *running, after string) (next func() (id string, e Event)) {
	t.Helper()
	q := r.request("GET", "/api/events", "")
	if after != "" {
		q.Header.Set("Last-Event-ID", after)
	}
	answer, err := http.DefaultClient.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	lines := bufio.NewScanner(answer.Body)
	return func() (id string, e Event) {
		t.Helper()
		for lines.Scan() {
			if text, ok := strings.CutPrefix(lines.Text(), "id: "); ok {
				id = text
			}
			if text, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				if err := json.Unmarshal([]byte(text), &e); err != nil {
					t.Fatal(err)
				}
				return id, e
			}
		}
		t.Fatalf("the stream ended: %v", lines.Err())
		return "", e
	}
}

func TestChangesOfOthersAreHeard(t *testing.T) {
	path := demoProperty(t, t.TempDir())
	r := start(t, options(t, path))
	next := heard(t, r, "")
	if _, e := next(); e.Kind != "hello" {
		t.Fatalf("first: %+v", e)
	}
	before := r.get("/api/p/nine-gate").text
	from, _ := environment()
	s, err := app.Open(t.Context(), path, app.ToChange, from)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	begun := time.Now()
	if err := s.ReplaceContacts(t.Context(), s.ContactList()[:1]); err != nil {
		t.Fatal(err)
	}
	id, e := next()
	// Two seconds are promised; a machine with other work may be late, but not this late.
	if took := time.Since(begun); e.Kind != "changed" || e.Property != "nine-gate" || watched > time.Second || took > 8*time.Second {
		t.Errorf("after %v: %+v", took, e)
	}
	if after := r.get("/api/p/nine-gate").text; after == before {
		t.Error("what is shown is old")
	}
	// A page that was away hears what it missed, in order, and only that.
	if err := s.ReplaceContacts(t.Context(), []habitat.Contact{{Role: "neighbor"}}); err != nil {
		t.Fatal(err)
	}
	second, _ := next()
	again := heard(t, r, id)
	if got, e := again(); got != second || e.Kind != "changed" {
		t.Errorf("resumed at %s with %s: %+v", id, got, e)
	}
	if _, e := again(); e.Kind != "hello" {
		t.Errorf("then %+v", e)
	}
	behind := heard(t, r, "7")
	if _, e := behind(); e.Kind != "behind" {
		t.Errorf("an id of long ago: %+v", e)
	}
}

// A server that nobody looks at ends where the options say so.
func TestAnUnusedServerEnds(t *testing.T) {
	o := options(t, t.TempDir())
	o.Idle = 80 * time.Millisecond
	s, err := Listen(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(t.Context()) }()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Error("it goes on")
	}
}

// A second server on a folder names the first, also while no property is in it.
func TestSecondServerOnAFolder(t *testing.T) {
	secondIsRefused(t, options(t, t.TempDir()))
}

// A property of a newer program is refused in one line before anything is served.
func TestNewerPropertyIsRefused(t *testing.T) {
	path := demoProperty(t, t.TempDir())
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	data[63] = 99 // the version of the schema, in the head of the file
	newer := filepath.Join(t.TempDir(), "newer"+extension)
	if err := os.WriteFile(newer, data, 0o666); err != nil {
		t.Fatal(err)
	}
	_, err = Listen(t.Context(), options(t, newer))
	if err == nil || !strings.Contains(err.Error(), "schema 99 is newer than this program") || strings.Contains(err.Error(), "\n") {
		t.Errorf("got %v", err)
	}
	// Among others, it is one that is not shown, with one line that says why.
	r := start(t, options(t, filepath.Dir(newer)))
	answer := r.get("/api/p/newer")
	var got struct {
		Error fault `json:"error"`
	}
	if err := json.Unmarshal([]byte(answer.text), &got); err != nil || len(got.Error.Errors) != 1 || got.Error.Errors[0].File == "" {
		t.Errorf("%d %s", answer.StatusCode, answer.text)
	}
}

// TestPageRefusesAlteredFiles alters a file past the program, before the page and while
// it shows it, and with a change of the program's own after it.
func TestPageRefusesAlteredFiles(t *testing.T) {
	path := demoProperty(t, t.TempDir())
	r := start(t, options(t, path))
	get := func() answered { return r.do(r.request("GET", "/api/p/nine-gate/season", "")) }
	if answer := get(); answer.StatusCode != http.StatusOK {
		t.Fatalf("whole: %d, %.300s", answer.StatusCode, answer.text)
	}
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var guard string
	if err := db.QueryRow("SELECT sql FROM sqlite_schema WHERE name = 'unit_version_stays'").Scan(&guard); err != nil {
		t.Fatal(err)
	}
	for _, query := range []string{"DROP TRIGGER unit_version_stays", "UPDATE unit_version SET acres = acres + 1", guard} {
		if _, err := db.Exec(query); err != nil {
			t.Fatal(err)
		}
	}
	for _, q := range []*http.Request{r.request("GET", "/api/p/nine-gate/season", ""), r.request("GET", "/api/p/nine-gate/draft", ""), r.request("POST", "/api/p/nine-gate/plan", "{}"), r.request("GET", "/api/p/nine-gate/papers/plain.txt", "")} {
		if q.Method == http.MethodPost {
			q.Header.Set("Origin", r.origin())
			q.Header.Set("Content-Type", "application/json")
		}
		answer := r.do(q)
		if q.Method == http.MethodPost && answer.StatusCode == http.StatusAccepted {
			continue // it solves apart, and says so to the page as an event
		}
		if answer.StatusCode < 400 || !strings.Contains(answer.text, "was altered after it was made") {
			t.Errorf("%s %s: %d, %.300s", q.Method, q.URL.Path, answer.StatusCode, answer.text)
		}
	}
	if _, err := Listen(t.Context(), options(t, path)); err == nil || !strings.Contains(err.Error(), "was altered after it was made") {
		t.Errorf("a page of an altered file begins: %v", err)
	}
}

// TestDocumentsReadAhead holds that what a screen asks for first is being read when its
// document was served, before anything is asked, and that what is asked then is of the
// file as it is.
func TestDocumentsReadAhead(t *testing.T) {
	folder := t.TempDir()
	path := demoProperty(t, folder)
	r := start(t, options(t, path))
	p, err := r.find("nine-gate")
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range []string{"/p/nine-gate/plan", "/p/nine-gate/season", "/", "/p/nine-gate/ground", "/p/nobody/plan", "/clients"} {
		p.mu.Lock()
		p.close()
		p.editor = nil
		p.mu.Unlock()
		r.get(at)
		r.working.Wait()
		p.mu.Lock()
		got := [3]bool{p.session != nil, p.editor != nil, p.answers[seasonKey] != nil}
		p.mu.Unlock()
		want := map[string][3]bool{
			"/p/nine-gate/plan": {true, true, false}, "/p/nine-gate/season": {true, false, true}, "/": {true, false, true}, "/p/nine-gate/ground": {true, false, false},
		}[at]
		if got != want {
			t.Errorf("%s reads %v ahead, want %v", at, got, want)
		}
	}
	// What was read ahead is of no use where the file is another by then.
	r.get("/p/nine-gate/plan")
	r.working.Wait()
	from, _ := environment()
	s, err := app.Open(t.Context(), path, app.ToChange, from)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Lock(t.Context(), habitat.Lock{Unit: s.Units[0].ID, Year: s.Property.YearOf(s.Today) + 2}, ""); err != nil {
		t.Fatal(err)
	}
	stamp := string(s.Change.Stamp())
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	for _, q := range []string{"draft?plan=0", "season", "plan?number=0"} {
		if text := r.get("/api/p/nine-gate/" + q).text; !strings.Contains(text, stamp) {
			t.Errorf("%s is not of %s", q, stamp)
		}
	}
}
