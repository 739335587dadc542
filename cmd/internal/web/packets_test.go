package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"testing"

	"emberquilt/cmd/internal/app"
	"emberquilt/report/view"
)

// TestPacketsAreWrittenAndHandedOver writes packets through the page and reads them,
// and nothing else of the disk.
func TestPacketsAreWrittenAndHandedOver(t *testing.T) {
	folder := t.TempDir()
	path := demoProperty(t, folder)
	o := options(t, folder)
	o.WritePackets = func(ctx context.Context, files []string, into string, from app.Environment) (*app.PacketRun, []string, error) {
		if len(files) != 1 || files[0] != path {
			t.Errorf("files %v", files)
		}
		if err := os.MkdirAll(into, 0o777); err != nil {
			return nil, nil, err
		}
		write := func(name string) string {
			name = filepath.Join(into, name)
			if err := os.WriteFile(name, []byte("written"), 0o666); err != nil {
				t.Fatal(err)
			}
			return name
		}
		run, err := app.PacketsOfAll(ctx, files, from, func(p *view.Packet) ([]string, error) {
			return []string{write("a.pdf"), write("a.xlsx"), write("a.csv"), write("a.html")}, nil
		})
		return run, []string{write("sum.csv")}, err
	}
	r := start(t, o)
	for _, at := range []string{"/api/packets", "/api/p/nine-gate/packets"} {
		answer := r.post(at, "{}")
		var got writtenPackets
		if err := json.Unmarshal([]byte(answer.text), &got); err != nil || len(got.Properties) != 1 || got.Properties[0].ID != "nine-gate" || len(got.Properties[0].Files) != 4 || got.Properties[0].Files[0] != "a.pdf" || len(got.Cautions) == 0 {
			t.Fatalf("%s: %d %s", at, answer.StatusCode, answer.text)
		}
	}
	if got := r.get("/api/packets/a.pdf"); got.StatusCode != http.StatusOK || got.text != "written" || got.Header.Get("Content-Disposition") == "" {
		t.Errorf("a packet: %d %s", got.StatusCode, got.text)
	}
	if got := r.get("/api/packets/a.html"); got.StatusCode != http.StatusOK || got.Header.Get("Content-Type") != "application/octet-stream" {
		t.Errorf("a packet as a page: %d %s", got.StatusCode, got.Header.Get("Content-Type"))
	}
	for _, bad := range []string{"..%2Fnine-gate.emberquilt", "%2e%2e", "none.pdf", "..%5Cnine-gate.emberquilt", "a.pdf%00"} {
		if got := r.get("/api/packets/" + bad); got.StatusCode == http.StatusOK {
			t.Errorf("%s: %d", bad, got.StatusCode)
		}
	}
	secret := filepath.Join(folder, "secret.csv")
	if err := errors.Join(os.WriteFile(secret, []byte("secret"), 0o600), os.Symlink(secret, filepath.Join(folder, packetFolder, "link.csv"))); err != nil {
		t.Skip(err)
	}
	if got := r.get("/api/packets/link.csv"); got.StatusCode == http.StatusOK {
		t.Error("a link leads out of the folder of packets")
	}
}
