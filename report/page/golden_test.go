package page

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
)

// golden compares a page, the library left out, with a file of testdata.
func golden(t *testing.T, file string, page []byte) {
	t.Helper()
	got := bytes.ReplaceAll(page, []byte(library), []byte("/* echarts */"))
	path := filepath.Join("testdata", file)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; run go test ./report/page -update and look at the difference", file)
	}
}

func TestBookGolden(t *testing.T) {
	page := book(t, sample.Terrace())
	golden(t, "book.html", page)
	if bytes.Count(page, []byte(library)) != 1 {
		t.Error("the library is not in the page exactly once, unchanged")
	}
	for _, caution := range []string{"not a permit", "A qualified burn boss decides", "dates only"} {
		if !strings.Contains(string(page), caution) {
			t.Errorf("the book does not say %q", caution)
		}
	}
}
