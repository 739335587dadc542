package web

import (
	"io/fs"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/settings"
)

func demoSettings(t *testing.T, own fs.FS) habitat.Property {
	t.Helper()
	text, err := fs.ReadFile(own, "settings.toml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := settings.Parse(text, "settings.toml")
	if err != nil {
		t.Fatal(err)
	}
	return p
}
