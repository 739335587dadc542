package sample

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/big"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"testing"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// RandomPacket makes a client with lines of units, and with some of the whole property,
// that were amended, moved, extended, canceled or closed, and burns in part, twice, early
// and late, among them wildfires.
func RandomPacket(r *rand.Rand) *view.PacketInput {
	in := &view.PacketInput{Property: habitat.NewProperty("Invented"), Stamp: view.Stamp{On: date.MustDay(2027, 3, 1)}}
	decimal := func(most float64) float64 {
		v, _ := strconv.ParseFloat(strconv.FormatFloat(0.1+r.Float64()*most, 'f', r.IntN(5), 64), 64)
		return max(v, 0.1)
	}
	c := &in.Contract
	c.Name = "Grass"
	c.Practices = []habitat.Practice{{Code: "338", Name: "Prescribed Burning", Measure: habitat.InAcres, Burns: true}}
	c.Early = []habitat.EarlyCredit{"", habitat.EarlyCredited, habitat.EarlyNotCredited}[r.IntN(3)]
	for u := range 2 + r.IntN(4) {
		unit := habitat.Unit{ID: fmt.Sprintf("u%d", u), Acres: quantity.Acres(decimal(60)), BurnDays: 1, Interval: habitat.Interval{Min: 1, Max: 3}}
		in.Units = append(in.Units, unit)
		for year := 2023 + r.IntN(3); year < 2031; year += 1 + r.IntN(3) {
			planned := float64(unit.Acres)
			if r.IntN(3) == 0 {
				planned = decimal(60)
			}
			c.Items = append(c.Items, habitat.ContractItem{Unit: unit.ID, Practice: "338", FiscalYear: date.FiscalYear(year), Planned: planned})
		}
		for range r.IntN(6) {
			rec := habitat.BurnRecord{ID: int64(len(in.Records) + 1), Unit: unit.ID, Kind: habitat.Prescribed, On: date.MustDay(2022+r.IntN(6), 2, 1+r.IntN(27))}
			rec.Through = rec.On
			switch r.IntN(4) {
			case 0: // the whole unit, as it was on the day
				rec.UnitAcres = quantity.Acres(decimal(60))
			case 1:
				rec.Kind = habitat.Wildfire
				fallthrough
			default:
				rec.Acres, rec.HasAcres = quantity.Acres(decimal(float64(unit.Acres))), true
			}
			in.Records = append(in.Records, rec)
		}
	}
	if r.IntN(2) == 0 {
		for year := 2023 + r.IntN(6); year < 2031; year += 1 + r.IntN(4) {
			c.Items = append(c.Items, habitat.ContractItem{Practice: "338", FiscalYear: date.FiscalYear(year), Planned: decimal(90)})
		}
		r.Shuffle(len(c.Items), func(a, b int) { c.Items[a], c.Items[b] = c.Items[b], c.Items[a] })
	}
	c.NumberLines()
	for range r.IntN(5) {
		m := habitat.Modification{
			Kind:   []habitat.ModificationKind{habitat.Amend, habitat.Move, habitat.Extend, habitat.CancelLine, habitat.CloseLine}[r.IntN(5)],
			Line:   1 + r.IntN(len(c.Items)),
			Reason: "r",
		}
		line := c.Line(m.Line)
		was := *line
		to := habitat.LineChange{Planned: decimal(60), Year: was.FiscalYear + 1, Until: was.FiscalYear + 2}
		if r.IntN(4) == 0 {
			to.Unit = []string{habitat.WholeProperty, "u1"}[r.IntN(2)]
		}
		if _, err := c.Modify(m, to); err != nil {
			*line = was // refused: a command stores nothing then
			if n := len(in.Contract.Modifications); n > 0 && in.Contract.Modifications[n-1].Line == m.Line {
				in.Contract.Modifications = in.Contract.Modifications[:n-1]
			}
		}
	}
	return in
}

// Decimal gives an amount as the decimals that it was typed with.
func Decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Recomputed are the figures of one packet by the script: of each line its number, then
// planned, applied, later, earlier, over and remaining; of each fiscal year its number,
// then planned and applied; and the sums of the practice.
type Recomputed struct {
	Rows, Years [][]any
	Sums        map[string]string
}

// Question is what the script is asked of random clients.
func Question(inputs []*view.PacketInput) []map[string]any {
	exact := Decimal
	var asked []map[string]any
	for _, in := range inputs {
		lines, work := []map[string]any{}, []map[string]any{}
		for _, i := range in.Contract.Items {
			lines = append(lines, map[string]any{"line": i.ID, "unit": i.Unit, "year": int(i.FiscalYear), "until": int(i.Until), "status": i.Status, "planned": exact(i.Planned)})
		}
		habitat.SortRecords(in.Records)
		for _, rec := range in.Records {
			year := date.FiscalStart(0).Of(rec.Through)
			first := date.FiscalYear(9999)
			for _, i := range in.Contract.Items {
				first = min(first, i.FiscalYear)
				if i.Was != nil {
					first = min(first, i.Was.FiscalYear)
				}
			}
			if rec.Kind != habitat.Prescribed || rec.Through.After(in.Stamp.On) || year < first {
				continue
			}
			amount := rec.Acres
			if !rec.HasAcres {
				amount = rec.UnitAcres
			}
			work = append(work, map[string]any{"unit": rec.Unit, "year": int(year), "amount": exact(float64(amount))})
		}
		asked = append(asked, map[string]any{"now": 2027, "early": in.Contract.Early, "lines": lines, "work": work})
	}
	return asked
}

// Recompute asks a script in Python's decimal arithmetic (the standard library's module
// decimal, after the General Decimal Arithmetic Specification), which shares no code with
// this program; script is its path. It skips the test where there is no Python.
func Recompute(t testing.TB, script string, asked []map[string]any) []Recomputed {
	t.Helper()
	if _, err := exec.LookPath("python3"); err != nil {
		t.Skip("python3 is missing:", err)
	}
	question, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("python3", script)
	cmd.Stdin = bytes.NewReader(question)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answers []Recomputed
	if err := json.Unmarshal(out, &answers); err != nil || len(answers) != len(asked) {
		t.Fatalf("%d answers, %v", len(answers), err)
	}
	return answers
}

// Tenths rounds decimals to tenths, half away from zero, by rational arithmetic, apart
// from the program's own rounding.
func Tenths(decimals string) string {
	v, ok := new(big.Rat).SetString(decimals)
	if !ok {
		panic("sample: not decimals: " + decimals)
	}
	return v.FloatString(1) // which rounds half away from zero
}
