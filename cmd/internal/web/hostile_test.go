package web

import (
	"bytes"
	"database/sql"
	"fmt"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// begun opens a connection and sends what a request begins with; the rest never comes.
func (r *running) begun(path, kind, body string) net.Conn {
	r.t.Helper()
	c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", r.port))
	if err != nil {
		r.t.Fatal(err)
	}
	r.t.Cleanup(func() { c.Close() })
	fmt.Fprintf(c, "POST %s HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nCookie: %s=%s\r\nContent-Type: %s\r\nContent-Length: 1000\r\n\r\n%s", path, r.port, r.cookie.Name, r.cookie.Value, kind, body)
	return c
}

// TestRequestsThatStopHoldUpNobody begins requests whose bodies never end. Others of the
// same screen are answered meanwhile, and the server ends those that stopped, with
// nothing left of them.
func TestRequestsThatStopHoldUpNobody(t *testing.T) {
	temporary := t.TempDir()
	t.Setenv("TMPDIR", temporary)
	folder := t.TempDir()
	demoProperty(t, folder)
	o := options(t, folder)
	r := start(t, o)
	part := "--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.csv\"\r\n\r\nunit,"
	requests := []struct{ path, kind, body string }{
		{"/api/first", "application/json", `{"answers": `},
		{firstFiles, "multipart/form-data; boundary=x", part},
		{"/api/p/nine-gate/import", "multipart/form-data; boundary=x", part},
		{"/api/p/nine-gate/tasks", "application/json", `{`},
	}
	for _, q := range requests {
		r.begun(q.path, q.kind, q.body)
	}
	for _, path := range []string{"/api/first", "/api/p/nine-gate"} {
		if got := r.get(path); got.StatusCode != http.StatusOK { // within the time that do allows
			t.Errorf("%s beside requests that stopped: %d %s", path, got.StatusCode, got.text)
		}
	}
	o.Path, o.Claims, o.pause = demoProperty(t, t.TempDir()), t.TempDir(), time.Millisecond
	o.Path = filepath.Dir(o.Path)
	short := start(t, o)
	for _, q := range requests {
		c := short.begun(q.path, q.kind, q.body)
		answer, err := io.ReadAll(c) // ends with the connection
		if err != nil || !strings.HasPrefix(string(answer), "HTTP/1.1 408 ") || !strings.Contains(string(answer), "the request stopped before its end; nothing was taken") {
			t.Errorf("%s: %v %.300s", q.path, err, answer)
		}
	}
	if left, err := filepath.Glob(filepath.Join(temporary, "*")); err != nil || len(left) != 1 { // that of the first server
		t.Errorf("%v %q", err, left)
	}
}

// TestMostFilesOfAForm sends more files than are looked at.
func TestMostFilesOfAForm(t *testing.T) {
	folder := t.TempDir()
	demoProperty(t, folder)
	r := start(t, options(t, folder))
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for i := range mostFiles + 1 {
		if _, err := form.CreateFormFile("file", strconv.Itoa(i)+".csv"); err != nil {
			t.Fatal(err)
		}
	}
	if err := form.Close(); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/api/p/nine-gate/import", "/api/p/nine-gate/weather", firstFiles} {
		q := r.request("POST", path, body.String())
		q.Header.Set("Content-Type", form.FormDataContentType())
		if got := r.do(q); got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, "more than 500 files came; accepts up to 500 at once") {
			t.Errorf("%s: %d %.300s", path, got.StatusCode, got.text)
		}
	}
}

// TestAnswersAreKeptWithinMeasure asks what is answered at every address that somebody
// makes up.
func TestAnswersAreKeptWithinMeasure(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	if got := r.get("/api/p/nine-gate/plan"); got.StatusCode != http.StatusOK {
		t.Fatal(got.text)
	}
	p, err := r.find("nine-gate")
	if err != nil {
		t.Fatal(err)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	text := make([]byte, mostAnswers/8)
	for i := range 100 {
		p.keepAnswer(fmt.Sprintf("plan?x=%d", i), text)
		size := 0
		for key, kept := range p.answers {
			size += len(key) + len(kept)
		}
		if size > mostAnswers || size != p.answersSize || p.answers[fmt.Sprintf("plan?x=%d", i)] == nil {
			t.Fatalf("after %d: %d bytes of %d are kept", i, size, p.answersSize)
		}
	}
}

// TestReadingsAreRefusedByNumber names the reading of a form that cannot be.
func TestReadingsAreRefusedByNumber(t *testing.T) {
	r := start(t, options(t, demoProperty(t, t.TempDir())))
	got := r.post("/api/p/nine-gate/burns", `{"unit": "Gate One", "on": "2026-11-20", "acres": "1", "readings": [{"at": "13:00", "temp": "60"}, {"at": "14:00", "temp": "warm"}]}`)
	if want := `{"field":"reading 2","found":"\"warm\" is not a number","accepts":"a time and what was measured`; got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, want) {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
}

// TestTablesOfOthersAreNotShown puts a file in the place of one that is served, in which
// the journal is a view without end.
func TestTablesOfOthersAreNotShown(t *testing.T) {
	path := demoProperty(t, t.TempDir())
	r := start(t, options(t, path))
	other := demoProperty(t, t.TempDir())
	db, err := sql.Open("sqlite", other)
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1)
	if _, err := db.Exec("PRAGMA foreign_keys = OFF; PRAGMA legacy_alter_table = ON; DROP TABLE change; CREATE VIEW change AS WITH RECURSIVE r(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM r) SELECT n AS id, '2027-01-01T00:00:00Z' AS made_at, 'x' AS reason, '' AS sha256, NULL AS made_by FROM r"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	if err := os.Rename(other, path); err != nil {
		t.Fatal(err)
	}
	for _, ask := range []string{"/api/p/nine-gate", "/api/p/nine-gate/season", "/api/p/nine-gate/seals"} {
		if got := r.get(ask); !strings.Contains(got.text, "the table change is missing") {
			t.Errorf("%s: %d %s", ask, got.StatusCode, got.text)
		}
	}
}

// The page refuses what the server would end unread.
func TestMostSentIsThatOfTheServer(t *testing.T) {
	text, err := static.ReadFile("static/api.js")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`const mostSent = (\d+);`).FindSubmatch(text)
	if found == nil || string(found[1]) != strconv.Itoa(mostImported>>20) {
		t.Errorf("%s of %d MB", found, mostImported>>20)
	}
}
