package page

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// golden compares a page, the library left out, with a file of testdata.
func golden(t *testing.T, file string, text []byte) {
	t.Helper()
	got := bytes.ReplaceAll(text, []byte(library), []byte("/* echarts */"))
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
	whole := book(t, sample.Terrace())
	golden(t, "book.html", whole)
	if bytes.Count(whole, []byte(library)) != 1 {
		t.Error("the library is not in the page exactly once, unchanged")
	}
	for _, caution := range []string{"not a permit", "A qualified burn boss decides", "dates only"} {
		if !strings.Contains(string(whole), caution) {
			t.Errorf("the book does not say %q", caution)
		}
	}
}

// written gives an HTML paper of a sample or hostile plan by name.
func written(t testing.TB, name string, plan *view.Plan) []byte {
	t.Helper()
	var b bytes.Buffer
	var err error
	switch name {
	case "sheet":
		err = WriteSheet(&b, sample.Sheet(plan), nil)
	case "draft":
		var d *view.Draft
		if d, err = view.NewDraft(sample.Draft(plan)); err == nil {
			err = WriteDraft(&b, d)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	if folder := os.Getenv("PAPERS"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, name+".html"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return b.Bytes()
}

func TestPapersGolden(t *testing.T) {
	golden(t, "sheet.html", written(t, "sheet", sample.Terrace()))
	draft := written(t, "draft", sample.Terrace())
	golden(t, "draft.html", draft)
	if !strings.Contains(string(draft), view.DraftMark) || strings.Contains(string(draft), "checked") && strings.Contains(string(draft), "<input") {
		t.Error("the draft is not marked, or a box is checked")
	}
}
