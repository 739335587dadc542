package list

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestHeadingOf(t *testing.T) {
	folder := t.TempDir()
	file := func(text string) string {
		path := filepath.Join(folder, "list.csv")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	h := HeadingOf(file("Watershed,Size,Note\nA,1,x\n"), Options{})
	if h == nil || h.Kind != "" || cmp.Diff([]string{"Watershed", "Size", "Note"}, h.Headers) != "" {
		t.Errorf("a foreign header: %+v", h)
	}
	h = HeadingOf(file("Watershed,Size,Note\nA,1,x\n"), Options{Columns: map[string]string{"unit": "Watershed", "acres": "Size"}})
	if h == nil || h.Kind != Units || cmp.Diff([]string{"unit", "acres"}, h.Reads[:2]) != "" {
		t.Errorf("a named one: %+v", h)
	}
	if h := HeadingOf(file(`{"type":"FeatureCollection","features":[]}`), Options{}); h != nil {
		t.Errorf("shapes: %+v", h)
	}
	for _, kind := range Kinds() {
		if len(ColumnsOf(kind)) == 0 && kind != Places && kind != Breaks {
			t.Errorf("%s has no columns", kind)
		}
	}
}
