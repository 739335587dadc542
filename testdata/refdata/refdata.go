// Package refdata finds data that tests compare with and that are not ours to
// ship. They lie in a folder beside the repository or where EMBERQUILT_REFERENCE
// says; DEVELOPERS.md tells what the folder holds. Only tests import it.
package refdata

import (
	"os"
	"path/filepath"
	"testing"
)

// variable names the reference data folder, absolute or from the folder of go.mod.
const variable = "EMBERQUILT_REFERENCE"

// usual is the folder where the variable is not set, from the folder of go.mod.
const usual = "../shared/reference"

// missing is why a test is skipped.
const missing = "the reference data folder, see DEVELOPERS.md, is not here"

// File gives the path of a file or folder under data/ of the reference data
// folder, such as "weather/isd/725300-2017.isdlite.gz", and skips the test
// where it is absent.
func File(t testing.TB, path string) string {
	t.Helper()
	return find(t, "data", path)
}

// Bench gives the path of a file or folder under bench/ beside the reference
// data folder: problems with the costs and bounds that other methods found. It
// skips the test where it is absent.
func Bench(t testing.TB, path string) string {
	t.Helper()
	return find(t, "..", "bench", path)
}

func find(t testing.TB, parts ...string) string {
	t.Helper()
	folder := os.Getenv(variable)
	if folder == "" {
		folder = usual
	}
	if !filepath.IsAbs(folder) {
		folder = filepath.Join(root(t), folder)
	}
	path := filepath.Join(append([]string{folder}, parts...)...)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("%s: %v", missing, err)
	}
	return path
}

// root is the folder of go.mod above the working folder.
func root(t testing.TB) string {
	t.Helper()
	folder, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return folder
		}
		up := filepath.Dir(folder)
		if up == folder {
			t.Fatal("no go.mod above the working folder")
		}
		folder = up
	}
}
