package store

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/list"
	"emberquilt/testdata/refdata"
)

func konzaFile(t testing.TB, name string) string {
	t.Helper()
	return refdata.File(t, "polygons/konza/"+name)
}

// TestKonzaAgesAgreeWithTheRawTable imports real units (layer GIS032) and their
// burn history (KFH01 version 22, doi:10.6073/pasta/0db54f512bba21337d0de4b4ec0951e9)
// and holds the stand ages at the end of program year 2023 against ages computed
// here from the text of the table, by code that shares nothing with the readers.
func TestKonzaAgesAgreeWithTheRawTable(t *testing.T) {
	ctx := context.Background()
	shapes, err := list.ReadFile(ctx, konzaFile(t, "derived_GIS032_wgs84.geojson"), list.Options{
		Columns: map[string]string{"unit": "NAME_1"}, Set: map[string]string{"min_interval": "1", "max_interval": "4"}, Merge: true, LeaveOut: true})
	if err != nil {
		t.Fatal(err)
	}
	columns, _ := list.ParseColumns("unit=Watershed,date=Date,kind=Type")
	values, _ := list.ParseValues("kind:PP=prescribed,PU=prescribed,WP=wildfire,WU=wildfire", "acres:.=")
	table := konzaFile(t, "kfh011_burn_history.csv")
	burns, err := list.ReadFile(ctx, table, list.Options{Columns: columns, Values: values, Merge: true, CapAcres: true, LeaveOut: true})
	if err != nil {
		t.Fatal(err)
	}
	p := habitat.NewProperty("Konza")
	p.Seasons = []habitat.Season{{Name: "any", Span: date.AnnualSpan{First: date.Annual{Month: time.October, Dom: 1}, Last: date.Annual{Month: time.September, Dom: 30}}}}
	s, err := Create(ctx, filepath.Join(t.TempDir(), "konza"), Making{}, p, noon)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	today := date.MustDay(2024, time.January, 1)
	update(t, s, func(tx *Tx) error {
		snap, err := tx.Snapshot()
		if err != nil {
			return err
		}
		plan, err := list.MakePlan(snap.Current(), []*list.List{shapes, burns}, list.PlanSettings{Today: today, Doubles: list.Add})
		if err != nil {
			return err
		}
		return tx.Apply(plan)
	})
	snap := snapshot(t, s)
	wantWhole(t, s)

	raw, err := os.ReadFile(table)
	if err != nil {
		t.Fatal(err)
	}
	compared := 0
	for i := range snap.Units {
		u := &snap.Units[i]
		want, ok := lastBurnIn(string(raw), u.ID, float64(u.Acres))
		if !ok {
			continue
		}
		compared++
		age := p.AgeAtEnd(u, snap.Records, 2023, today)
		if got := 2023 - age.Years; age.Assumed != habitat.OnRecord || got != want {
			t.Errorf("%s: last burned in %d, the table says %d (%+v)", u.ID, got, want, age)
		}
	}
	t.Logf("%d of %d units compared, %d burns", compared, len(snap.Units), len(snap.Records))
	if compared < 40 {
		t.Errorf("only %d units compared", compared)
	}
}

// lastBurnIn finds in the raw text the last program year (October to September)
// up to 2023 in which rows of a unit add up to 60 percent of its acres. Rows that are there
// twice word for word count once.
func lastBurnIn(raw, unit string, acres float64) (last int, ok bool) {
	burned := map[int]float64{}
	seen := map[string]bool{}
	for _, line := range strings.Split(raw, "\n")[1:] {
		line = strings.ReplaceAll(strings.TrimSpace(line), `"`, "")
		if line == "" || seen[line] {
			continue
		}
		seen[line] = true
		f := strings.Split(line, ",")
		n := len(f)                                            // the former name may hold commas: count from the end
		if !strings.EqualFold(strings.TrimSpace(f[0]), unit) { // the table writes SpB and SPB for one unit
			continue
		}
		year, _ := strconv.Atoi(f[n-3][:4])
		if f[n-3][5:7] >= "10" {
			year++
		}
		part, err := strconv.ParseFloat(f[n-4], 64)
		if err != nil {
			part = acres
		}
		burned[year] += min(part, acres)
	}
	for year, sum := range burned {
		if year <= 2023 && sum >= 0.6*acres && (!ok || year > last) {
			last, ok = year, true
		}
	}
	return last, ok
}
