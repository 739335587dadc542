package page

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

var update = flag.Bool("update", false, "rewrite golden files")

func program(t testing.TB, plan *view.Plan) *view.Program {
	t.Helper()
	v, err := view.NewProgram(plan)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func due(t testing.TB, plan *view.Plan) *view.Due {
	t.Helper()
	v, err := view.NewDue(sample.Season(plan), 0, 2027)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func calendar(t testing.TB, plan *view.Plan) *view.Calendar {
	t.Helper()
	v, err := view.NewCalendar(sample.Season(plan), 2027)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// book gives the program book of a plan without weather, shapes and rehearsals.
func book(t testing.TB, plan *view.Plan) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteBook(&b, &Book{Program: program(t, plan), Due: due(t, plan), Calendar: calendar(t, plan)}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The library is npm's echarts 5.6.0, dist/echarts.min.js, unchanged.
func TestLibraryIsUnchanged(t *testing.T) {
	sum := sha256.Sum256([]byte(library))
	if got := hex.EncodeToString(sum[:]); got != librarySHA256 {
		t.Errorf("echarts.min.js has SHA-256 %s, want %s", got, librarySHA256)
	}
	for _, file := range []string{"LICENSE", "NOTICE", "licenses/LICENSE-d3"} {
		if info, err := os.Stat(filepath.Join("echarts", file)); err != nil || info.Size() < 100 {
			t.Errorf("%s: %v", file, err)
		}
	}
}

func TestBookWrites(t *testing.T) {
	got := book(t, sample.Terrace())
	if !bytes.Equal(got, book(t, sample.Terrace())) {
		t.Error("two books of one plan differ")
	}
}
