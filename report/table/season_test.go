package table

import (
	"bytes"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

func TestDueGolden(t *testing.T) {
	plan := sample.Terrace()
	in := sample.Season(plan)
	in.Others = []view.Other{sample.Other(plan, "Sandbar", 2027)}
	v, err := view.NewDue(in, 0, 2027)
	if err != nil {
		t.Fatal(err)
	}
	for file, o := range map[string]Options{"due.txt": {}, "due.csv": {Format: CSV}, "due.json": {Format: JSON}} {
		var b bytes.Buffer
		if err := Due(&b, v, o); err != nil {
			t.Fatal(err)
		}
		golden(t, file, b.Bytes())
	}
}

func TestWhyGolden(t *testing.T) {
	plan := sample.Terrace()
	burn := sample.Other(plan, "Sandbar", 2027)
	for file, ask := range map[string]struct {
		unit  string
		other *view.Other
	}{"why-burn.txt": {"Sandbar", &burn}, "why-rest.txt": {"Skipper Meadow West", nil}} {
		v, err := view.NewWhy(plan, ask.unit, 2027, ask.other)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := Why(&b, v, Options{}); err != nil {
			t.Fatal(err)
		}
		golden(t, file, b.Bytes())
	}
}

func TestCompareGolden(t *testing.T) {
	first, second := sample.Terrace(), sample.Terrace()
	second.Number = 4
	second.Answer = sample.Other(second, "Sandbar", 2027).Answer
	v, err := view.NewCompare(first, second)
	if err != nil {
		t.Fatal(err)
	}
	for file, o := range map[string]Options{"compare.txt": {}, "compare.csv": {Format: CSV}} {
		var b bytes.Buffer
		if err := Compare(&b, v, o); err != nil {
			t.Fatal(err)
		}
		golden(t, file, b.Bytes())
	}
}

func TestTablesWithoutAPlan(t *testing.T) {
	plan := sample.Clashing(sample.Terrace())
	v, err := view.NewProgram(plan)
	if err != nil {
		t.Fatal(err)
	}
	due, err := view.NewDue(sample.Season(plan), 0, 2027)
	if err != nil {
		t.Fatal(err)
	}
	for _, format := range []Format{Text, CSV, JSON} {
		var b bytes.Buffer
		if err := Program(&b, v, Options{Format: format}); err != nil {
			t.Fatal(err)
		}
		if err := Due(&b, due, Options{Format: format}); err != nil {
			t.Fatal(err)
		}
		if format == Text && !strings.Contains(b.String(), "take 88.3 acres of refuge") {
			t.Errorf("the clash is not told:\n%s", b.String())
		}
	}
}
