package view_test

import (
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// TestPacketsAgainstDecimals holds every figure of 200 random clients' packets against
// a script in Python's decimal arithmetic (the standard library's module decimal, after
// the General Decimal Arithmetic Specification), which shares no code with this program.
func TestPacketsAgainstDecimals(t *testing.T) {
	const seed, count = 16, 200
	r := rand.New(rand.NewPCG(seed, 0))
	exact := sample.Decimal
	var packets []*view.Packet
	var inputs []*view.PacketInput
	for range count {
		in := sample.RandomPacket(r)
		inputs, packets = append(inputs, in), append(packets, view.NewPacket(in))
	}
	asked := sample.Question(inputs)
	answers := sample.Recompute(t, "testdata/recompute.py", asked)
	figures := 0
	for i, v := range packets {
		var rows [][]any
		for _, s := range v.Schedule {
			if s.State != view.Unasked {
				rows = append(rows, []any{float64(s.Line), exact(s.Planned), exact(s.Applied), exact(s.Late), exact(s.Early), exact(s.Over), exact(s.Remaining)})
			}
		}
		if !reflect.DeepEqual(rows, answers[i].Rows) {
			t.Fatalf("seed %d, client %d: rows\n%v\nwant\n%v\nof %s", seed, i, rows, answers[i].Rows, mustJSON(asked[i]))
		}
		p := v.Practices[0]
		sums := map[string]string{"planned": exact(p.Planned), "credited": exact(p.Credited), "remaining": exact(p.Remaining), "planned_to_date": exact(p.DueBy), "behind_to_date": exact(p.Behind), "ahead_to_date": exact(p.Ahead),
			"planned_this_year": exact(p.YearPlanned), "credited_this_year": exact(p.YearCredited), "remaining_this_year": exact(p.YearRemaining), "applied": exact(p.Applied), "over": exact(p.Over)}
		if !reflect.DeepEqual(sums, answers[i].Sums) {
			t.Fatalf("seed %d, client %d: sums\n%v\nwant\n%v", seed, i, sums, answers[i].Sums)
		}
		var years [][]any
		for k, y := range p.Years {
			if !y.IsEmpty() {
				years = append(years, []any{float64(v.Years[k]), exact(y.Planned), exact(y.Applied)})
			}
		}
		if !reflect.DeepEqual(years, answers[i].Years) {
			t.Fatalf("seed %d, client %d: fiscal years\n%v\nwant\n%v", seed, i, years, answers[i].Years)
		}
		figures += 6*len(rows) + 2*len(years) + len(sums)
		if text := asJSON(t, v); !reflect.DeepEqual(text.rows(), answers[i].Rows) || !reflect.DeepEqual(text.sums(), answers[i].Sums) {
			t.Fatalf("seed %d, client %d: JSON\n%v %v\nwant\n%v", seed, i, text.rows(), text.sums(), answers[i])
		}
		for _, s := range v.Schedule {
			if s.Applied+s.Late+s.Early+s.Over > 0 && len(s.Records) == 0 {
				t.Fatalf("client %d: a figure of line %d names no record", i, s.Line)
			}
		}
	}
	// The control: ten times an amount is noticed.
	for _, one := range asked {
		for _, w := range one["work"].([]map[string]any) {
			w["amount"] = "1" + w["amount"].(string)
		}
	}
	if reflect.DeepEqual(sample.Recompute(t, "testdata/recompute.py", asked), answers) {
		t.Error("other amounts give the same figures")
	}
	t.Logf("%d figures of %d clients", figures, count)
}

// packetText is a packet as its JSON has it: every figure as it is written.
type packetText struct {
	Schedule []struct {
		Line                              json.Number
		Planned, Applied, Over, Remaining json.Number
		Later                             json.Number `json:"applied_later"`
		Earlier                           json.Number `json:"applied_earlier"`
		Records                           []string
	}
	Practices []map[string]any
}

func asJSON(t *testing.T, v *view.Packet) (text packetText) {
	t.Helper()
	decoder := json.NewDecoder(strings.NewReader(mustJSON(v)))
	decoder.UseNumber()
	if err := decoder.Decode(&text); err != nil {
		t.Fatal(err)
	}
	return text
}

func (p *packetText) rows() (rows [][]any) {
	for _, s := range p.Schedule {
		if line, err := s.Line.Float64(); err == nil && line > 0 {
			rows = append(rows, []any{line, s.Planned.String(), s.Applied.String(), s.Later.String(), s.Earlier.String(), s.Over.String(), s.Remaining.String()})
		}
	}
	return rows
}

func (p *packetText) sums() map[string]string {
	sums := map[string]string{}
	for _, name := range []string{"planned", "credited", "remaining", "planned_to_date", "behind_to_date", "ahead_to_date", "planned_this_year", "credited_this_year", "remaining_this_year", "applied", "over"} {
		sums[name] = p.Practices[0][name].(json.Number).String()
	}
	return sums
}

func mustJSON(v any) string {
	var b strings.Builder
	json.NewEncoder(&b).Encode(v)
	return b.String()
}
