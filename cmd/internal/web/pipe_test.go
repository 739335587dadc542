//go:build unix

package web

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestPipesAreNotWaitedFor puts pipes where files are handed over or named.
func TestPipesAreNotWaitedFor(t *testing.T) {
	folder := t.TempDir()
	demoProperty(t, folder)
	if err := os.Mkdir(filepath.Join(folder, packetFolder), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"pipe", packetFolder + "/pipe.pdf"} {
		if err := syscall.Mkfifo(filepath.Join(folder, name), 0o600); err != nil {
			t.Skip(err)
		}
	}
	r := start(t, options(t, folder))
	if got := r.get("/api/packets/pipe.pdf"); got.StatusCode != http.StatusNotFound {
		t.Errorf("%d %s", got.StatusCode, got.text)
	}
	for _, name := range []string{"pipe", packetFolder} {
		got := r.post("/api/p/nine-gate/burns", `{"unit": "Gate One", "on": "2026-11-20", "acres": "1", "files": ["`+name+`"]}`)
		if want := `{"field":"files","found":"\"` + name + `\" is not a regular file","accepts":"the path of a file below`; got.StatusCode != http.StatusBadRequest || !strings.Contains(got.text, want) {
			t.Errorf("%s: %d %s", name, got.StatusCode, got.text)
		}
	}
}
