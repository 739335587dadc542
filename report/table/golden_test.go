package table

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

var update = flag.Bool("update", false, "rewrite golden files")

// golden compares with a file of testdata, after rewriting it under -update.
func golden(t *testing.T, file string, got []byte) {
	t.Helper()
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
		t.Errorf("%s differs; run go test ./report/table -update and look at the difference\ngot:\n%s", file, got)
	}
}

func terrace(t *testing.T) *view.Program {
	t.Helper()
	v, err := view.NewProgram(sample.Terrace())
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestProgramGolden(t *testing.T) {
	for file, o := range map[string]Options{
		"program.txt": {}, "program-narrow.txt": {Width: 60}, "program.csv": {Format: CSV}, "program.json": {Format: JSON},
	} {
		var b bytes.Buffer
		if err := Program(&b, terrace(t), o); err != nil {
			t.Fatal(err)
		}
		golden(t, file, b.Bytes())
		if strings.Contains(b.String(), "\x1b") {
			t.Errorf("%s holds color, and no terminal asked for it", file)
		}
	}
}

// Whoever reads the JSON can walk every list.
func TestJSONHasNoNullList(t *testing.T) {
	var b bytes.Buffer
	v, err := view.NewProgram(sample.Clashing(sample.Terrace()))
	if err != nil {
		t.Fatal(err)
	}
	if err := Program(&b, v, Options{Format: JSON}); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"units", "by_year", "mixes", "caps", "overdue", "parts", "changes", "warnings"} {
		if !strings.Contains(b.String(), `"`+key+`": [`) {
			t.Errorf("%s is not a list", key)
		}
	}
	for _, key := range []string{"shortfall", "bound", "gap"} {
		if !strings.Contains(b.String(), `"`+key+`": null`) {
			t.Errorf("%s is not null without a plan", key)
		}
	}
}
