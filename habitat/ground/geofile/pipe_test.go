//go:build unix

package geofile

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A pipe that has the name of a shapefile's table is refused, not waited for.
func TestAPipeBesideAShapefile(t *testing.T) {
	stem := filepath.Join(t.TempDir(), "units")
	if err := errors.Join(os.WriteFile(stem+".shp", goodShapefile().shp, 0o600), syscall.Mkfifo(stem+".dbf", 0o600)); err != nil {
		t.Fatal(err)
	}
	read := make(chan error, 1)
	go func() {
		_, err := Read(stem+".shp", Options{})
		read <- err
	}()
	select {
	case err := <-read:
		if err == nil || !strings.Contains(err.Error(), "units.dbf: is no regular file") {
			t.Errorf("the error is %v", err)
		}
	case <-time.After(30 * time.Second):
		t.Fatal("waited for a pipe that nobody fills")
	}
}
