package geofile

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/ground/internal/groundtest"
	"emberquilt/testdata/refdata"
)

// PROVENANCE.md gives areas on the UTM plane, 0.03% above those of the ground.
// The quirks of the Konza layer that its PROVENANCE.md lists, each told.
func TestReviewTellsKonzasQuirks(t *testing.T) {
	l, err := Read(refdata.File(t, "polygons/konza/GIS032.shp"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	notes, err := Review(context.Background(), l, ground.DefaultTolerance)
	if err != nil {
		t.Fatal(err)
	}
	notes = append(notes, l.AllNotes()...)
	var text strings.Builder
	stated := 0
	for _, n := range notes {
		n.Position.File = filepath.Base(n.Position.File)
		text.WriteString(n.String() + "\n")
		if n.Kind == ground.Stated {
			stated++
		}
	}
	t.Log("\n" + text.String())
	for _, want := range []string{
		`the name "N1A" stands on 2 shapes (`, "147.92 acres", "83.48 acres",
		`231.55 acres, the shape covers 147.92 acres: the figure is that of all 2 shapes of this name together`,
		`"0HQE" 2 times`, `"0ALB" 3 times`, `"002B" 2 times`, `"UN06" 2 times`,
		"14 shapes have no name", "7 shapes have no code",
		"254.39 acres, the shape covers 149.9", "covers less than 1 sq ft: a sliver",
		"the boundary touches itself", "a sliver that kept the figure",
		`both claim 2.8`,
	} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("nothing says %q", want)
		}
	}
	if stated < 9 {
		t.Errorf("%d stated areas told; nine differ by more than an acre", stated)
	}
	joined, refused := JoinNamed(l.Features)
	if len(joined) != 75 || len(refused) != 0 {
		t.Errorf("%d features after joining N1A, %v", len(joined), refused)
	}
}

func TestJoinRefusesSameGround(t *testing.T) {
	same := Feature{Name: "A", Shape: groundtest.Rectangle(0, 0, 100, 100, 0)}
	joined, refused := JoinNamed([]Feature{same, {Name: "a", Shape: groundtest.Rectangle(50, 0, 100, 100, 0)}, {}, {}})
	if len(joined) != 4 || len(refused) != 1 {
		t.Errorf("%d joined, refused %v", len(joined), refused)
	}
}
