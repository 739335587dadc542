package refdata

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// watched takes down why a test was skipped.
type watched struct {
	testing.TB
	skipped string
}

func (w *watched) Helper() {}

func (w *watched) Skipf(format string, args ...any) {
	w.skipped = fmt.Sprintf(format, args...)
	runtime.Goexit()
}

// look calls find in a goroutine that a skip may end.
func look(t *testing.T, find func(testing.TB, string) string, path string) (found, skipped string) {
	t.Helper()
	w := &watched{TB: t}
	done := make(chan struct{})
	go func() {
		defer close(done)
		found = find(w, path)
	}()
	<-done
	return found, w.skipped
}

func TestPlaceOfTheFolder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "reference")
	for _, path := range []string{filepath.Join(folder, "data", "weather"), filepath.Join(folder, "..", "bench")} {
		if err := os.MkdirAll(path, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv(variable, folder)
	if found, _ := look(t, File, "weather"); found != filepath.Join(folder, "data", "weather") {
		t.Errorf("File gives %q", found)
	}
	if found, _ := look(t, Bench, ""); found != filepath.Join(filepath.Dir(folder), "bench") {
		t.Errorf("Bench gives %q", found)
	}
	// A name that is not absolute counts from the folder of go.mod.
	at, err := filepath.Rel(root(t), folder)
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv(variable, at)
	if found, _ := look(t, File, "weather"); found != filepath.Join(folder, "data", "weather") {
		t.Errorf("File gives %q by a relative name", found)
	}
}

func TestSkipsWhereTheFolderIsAbsent(t *testing.T) {
	t.Setenv(variable, filepath.Join(t.TempDir(), "nothing"))
	for name, find := range map[string]func(testing.TB, string) string{"File": File, "Bench": Bench} {
		found, skipped := look(t, find, "weather")
		if found != "" || !strings.HasPrefix(skipped, "the reference data folder, see DEVELOPERS.md") {
			t.Errorf("%s gives %q and says %q", name, found, skipped)
		}
	}
}
