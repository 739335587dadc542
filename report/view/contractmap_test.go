package view_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// TestContractMapTellsRemainingFromDone draws units of each state: what remains, in one
// practice and in two, what is done, closed, canceled, and not in the contract.
func TestContractMapTellsRemainingFromDone(t *testing.T) {
	in := sample.Packet()
	c := &in.Contract
	c.Completions = nil
	unit := func(i int) string { return in.Units[i].ID }
	c.Items = []habitat.ContractItem{
		{Unit: unit(0), Practice: "338", FiscalYear: 2027, Planned: 4},
		{Unit: unit(0), Practice: "394", FiscalYear: 2027, Planned: 1200},
		{Unit: unit(1), Practice: "394", FiscalYear: 2027, Planned: 900},
		{Unit: unit(2), Practice: "394", FiscalYear: 2027, Planned: 50},
		{Unit: unit(3), Practice: "338", FiscalYear: 2028, Planned: 6, Status: habitat.Canceled},
	}
	c.NumberLines()
	c.Completions = []habitat.Completion{{Unit: unit(2), Practice: "394", On: date.MustDay(2026, time.November, 2), Applied: 50}}
	got := view.NewPacket(in).Units
	for i, want := range []string{
		"remains|4.0 acres of 338 and 1,200.0 feet of 394 remain|[1 2]|2 practices remain",
		"remains|900.0 feet remain|[3]|900.0 feet remain",
		"done|done|[4]|done",
		"canceled|canceled|[5]|canceled",
	} {
		u := got.Units[i]
		if text := fmt.Sprintf("%s|%s|%v|%s", u.State, u.Says, u.Lines, got.Map.Years[0].States[i].Detail); u.Unit != unit(i) || text != want {
			t.Errorf("%s: %s, want %s", u.Unit, text, want)
		}
	}
	marks := func(m *view.Map) (all []int) {
		for _, s := range m.Years[0].States {
			all = append(all, s.Mark)
		}
		return all
	}
	if got := marks(got.Map); !reflect.DeepEqual(got, []int{1, 1, 2, 0}) {
		t.Errorf("marks %v", got)
	}
	if words := got.Map.YearInWords(0); !strings.Contains(words, "work remains on 2 units, 1 done, 1 canceled") || !strings.Contains(words, "in the contract, done (filled): "+unit(2)) {
		t.Errorf("in words: %s", words)
	}

	// Closed, without a shape, and not in the contract.
	c.Items[2].Status = habitat.Closed
	c.Items = c.Items[:3]
	in.Shapes = map[string]ground.Shape{unit(0): in.Shapes[unit(0)], unit(2): in.Shapes[unit(2)], unit(3): in.Shapes[unit(3)]}
	got = view.NewPacket(in).Units
	if len(got.Units) != 2 || got.Units[1].State != "closed" || len(got.Notes) != 1 || !strings.Contains(got.Notes[0], unit(1)) {
		t.Errorf("closed: %+v", got)
	}
	if got := marks(got.Map); !reflect.DeepEqual(got, []int{1, 0, 0}) {
		t.Errorf("marks %v", got)
	}
	in.Shapes = nil
	if view.NewPacket(in).Units != nil {
		t.Error("a map without a shape")
	}
}
