package reference

import (
	"os"
	"path/filepath"
	"testing"
)

// Shared gives the folder of reference data beside the repository, and skips
// the test where it is absent.
func Shared(t testing.TB) string {
	t.Helper()
	at, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(at, "go.mod")); err == nil {
			break
		}
		up := filepath.Dir(at)
		if up == at {
			t.Fatal("no go.mod above the test")
		}
		at = up
	}
	folder := filepath.Join(at, "..", "shared")
	if _, err := os.Stat(folder); err != nil {
		t.Skip("the reference data are not beside the repository: ", err)
	}
	return folder
}
