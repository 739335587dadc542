package problem_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"emberquilt/habitat/source"
	"emberquilt/schedule/problem"
	"emberquilt/schedule/reference"
)

func sampleAnswer() *problem.Answer {
	return &problem.Answer{
		Status: problem.Feasible, Cost: 183.25, Bound: 180.1, Gap: 0.0171896, Seconds: 0.41,
		Parts: problem.Parts{Mix: 171.75, Season: 11.5},
		Burns: []problem.Burn{{Unit: 0, Year: 2027, Season: 0}, {Unit: 1, Year: 2029, Season: 2}},
		Prices: []problem.RowPrice{{Row: problem.Row{Kind: problem.RowBurnDays, Year: 2028}, PerUnit: 4.2},
			{Row: problem.Row{Kind: problem.RowMixLow, Year: 2028, Class: 2}, PerUnit: 1e-9},
			{Row: problem.Row{Kind: problem.RowApart, Year: 2028, Pair: [2]int{0, 1}}, PerUnit: 1},
			{Row: problem.Row{Kind: problem.RowRefuge, Year: 2028}, PerUnit: 1}},
		Clashes:  []problem.Clash{},
		Warnings: []string{"unit </script> can never burn"},
		More:     []problem.Saving{{Row: problem.Row{Kind: problem.RowAcres, Year: 2027}, Step: 10, Cost: 180, Bound: 179, Saves: 3.25}},
	}
}

func TestAnswerRoundTrip(t *testing.T) {
	p := read(t, example)
	infeasible := &problem.Answer{Status: problem.Infeasible, Seconds: 0.1, Clashes: []problem.Clash{
		{Requirement: problem.RequireRefuge, Year: 2028, Season: -1, Refuge: 0, HasNumbers: true, Needed: 71.5, Allowed: 60,
			Locks: []problem.Lock{{Unit: 0, Year: 2028, Burn: true, Season: -1}, {Unit: 1, Year: 2028, Season: -1}}, Text: "too much"}}}
	for _, a := range []*problem.Answer{sampleAnswer(), infeasible} {
		var b bytes.Buffer
		if err := problem.WriteAnswer(&b, a, p); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		got, err := problem.ReadAnswer(&b, "answer.json", p)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(a, got, cmp.Transformer("empty", func(c []problem.Clash) []problem.Clash { return append([]problem.Clash{}, c...) })); diff != "" {
			t.Error(diff)
		}
	}
}

// TestInfeasibleAnswerHasTheShapeOfTheFormat reads the keys with the standard
// library.
func TestInfeasibleAnswerHasTheShapeOfTheFormat(t *testing.T) {
	p := read(t, example)
	var b bytes.Buffer
	a := &problem.Answer{Status: problem.Infeasible, Cost: 3, Bound: math.Inf(1), Clashes: []problem.Clash{{Requirement: problem.RequireRest,
		Year: 2027, Season: -1, Refuge: -1, Locks: []problem.Lock{{Unit: 0, Year: 2027, Burn: true, Season: -1}}}}}
	if err := problem.WriteAnswer(&b, a, p); err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := json.Unmarshal(b.Bytes(), &m); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"cost", "bound", "gap", "parts"} {
		if v, there := m[key]; !there || v != nil {
			t.Errorf("%s is %v", key, v)
		}
	}
	clash := m["clashes"].([]any)[0].(map[string]any)
	if diff := cmp.Diff(map[string]any{"requirement": "rest", "year": 2027., "locks": []any{map[string]any{"unit": "n1", "year": 2027.}}, "text": ""}, clash); diff != "" {
		t.Error(diff)
	}
	for _, key := range []string{"burns", "prices", "warnings"} {
		if list, ok := m[key].([]any); !ok || len(list) != 0 {
			t.Errorf("%s is %v", key, m[key])
		}
	}
}

func TestReadAnswerRefuses(t *testing.T) {
	p := read(t, example)
	var b bytes.Buffer
	if err := problem.WriteAnswer(&b, sampleAnswer(), p); err != nil {
		t.Fatal(err)
	}
	good := b.String()
	for _, c := range []struct{ name, old, text, want string }{
		{"format", `"rotation-answer/1"`, `"rotation-problem/1"`, `a.json:2:format: "rotation-problem/1" is another format`},
		{"status", `"feasible"`, `"best"`, `a.json:3:status: "best" is not a status`},
		{"no cost", `"cost": 183.25, `, ``, `a.json:1:cost: the key is missing`},
		{"null cost", `"cost": 183.25`, `"cost": null`, `a.json:4:cost: null is not a number`},
		{"infinite bound", `180.1`, `1e999`, `a.json:4:bound: 1e999 is above`},
		{"unknown unit", `{"unit": "n1", "year": 2027, "season": "dormant"}`, `{"unit": "q", "year": 2027, "season": "dormant"}`, `a.json:7:burns[0].unit: "q" is unknown; accepts the name of a unit n1, n2, n3`},
		{"year outside", `"year": 2029`, `"year": 2099`, `a.json:8:burns[1].year: 2099 is outside the plan`},
		{"unknown season", `"late-growing"}`, `"fall"}`, `a.json:8:burns[1].season: "fall" is unknown`},
		{"unknown row", `"row": "burn_days"`, `"row": "rain"`, `a.json:11:prices[0].row: "rain" is not a kind of row`},
		{"key of another row", `"row": "burn_days", "season": "dormant"`, `"row": "acres", "season": "dormant"`, `a.json:11:prices[0].season: unknown key "season"`},
		{"unknown class", `"class": "old"`, `"class": "ancient"`, `a.json:12:prices[1].class: "ancient" is unknown`},
		{"unknown key", `"warnings"`, `"warning"`, `unknown key "warning"`},
		{"cut off", "\n}\n", "", "the file ends early"},
		{"infeasible with a cost", `"feasible"`, `"infeasible"`, `183.25 in an infeasible answer; accepts null`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if strings.Count(good, c.old) == 0 {
				t.Fatalf("the answer does not hold %s", c.old)
			}
			i := strings.LastIndex(good, c.old)
			_, err := problem.ReadAnswer(strings.NewReader(good[:i]+c.text+good[i+len(c.old):]), "a.json", p)
			if err == nil || !source.Is(err) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

func sampleCertificate(p *problem.Problem) *problem.Certificate {
	leaf := problem.Leaf{
		Prices: []problem.RowPrice{{Row: problem.Row{Kind: problem.RowAcres, Year: 2027}, PerUnit: 0.4},
			{Row: problem.Row{Kind: problem.RowMixHigh, Year: 2030, Class: 1}, PerUnit: 1.0 / 3},
			{Row: problem.Row{Kind: problem.RowNeighbors, Year: 2030, Pair: [2]int{0, 2}}, PerUnit: 7},
			{Row: problem.Row{Kind: problem.RowBurnDays, Year: 2030, Season: 2}, PerUnit: 1e-300}},
		Cuts: []problem.Cut{{Year: 2027, Season: -1, Units: []int{0, 1}, Weight: []int{1, 1}, AtMost: 1, Price: 3},
			{Year: 2027, Season: 1, Units: []int{0, 1, 2}, Weight: []int{1, 2, 1}, AtMost: 2, Price: 0.1}},
		Blocks: []problem.Block{{Units: []int{0, 1}, Share: []float64{0.5, 1}, Shift: []problem.Shift{{Unit: 0, Year: 2028, Price: -2.5}}, Mixes: []int{0},
			Ages: []problem.AgePrices{{Unit: 1, Year: 2029, Price: []float64{0, -1.5, 2}}}},
			{Units: []int{0, 2}, Share: []float64{0.5, 1}, Shift: []problem.Shift{{Unit: 0, Year: 2028, Price: 2.5}}}},
	}
	return &problem.Certificate{ProblemSHA256: p.SHA256, Bound: 183.25,
		Shared: []problem.Leaf{leaf, {Prices: []problem.RowPrice{}}},
		Tree: &problem.Node{Unit: 0, Year: 2028, Burn: &problem.Node{Leaf: &leaf},
			Rest: &problem.Node{Unit: 1, Year: 2027, InSeason: true, Season: 0, Burn: &problem.Node{Use: 1}, Rest: &problem.Node{Leaf: &problem.Leaf{}}}}}
}

var sameEmpty = []cmp.Option{
	cmp.Transformer("prices", func(l []problem.RowPrice) []problem.RowPrice { return append([]problem.RowPrice{}, l...) }),
}

func TestCertificateRoundTrip(t *testing.T) {
	p := read(t, example)
	c := sampleCertificate(p)
	var b, again bytes.Buffer
	if err := problem.WriteCertificate(&b, c, p); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	got, err := problem.ReadCertificate(&b, "c.json", p)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if diff := cmp.Diff(c, got, sameEmpty...); diff != "" {
		t.Error(diff)
	}
	if err := problem.WriteCertificate(&again, got, p); err != nil || again.String() != text {
		t.Errorf("written twice it differs: %v", err)
	}
}

// TestReadCertificateOfTheFormat reads the example of the format's description.
func TestReadCertificateOfTheFormat(t *testing.T) {
	p := read(t, strings.ReplaceAll(example, `"n3"`, `"n4"`))
	text := `{"format": "rotation-certificate/1", "problem_sha256": "` + p.SHA256 + `", "bound": 183.25,
 "tree": {"unit": "n1", "year": 2028,
          "burn": {"prices": [{"row": "acres", "year": 2027, "price": 0.4}]},
          "rest": {"unit": "n4", "year": 2027, "burn": {"prices": []}, "rest": {"prices": []}}}}`
	c, err := problem.ReadCertificate(strings.NewReader(text), "c.json", p)
	if err != nil {
		t.Fatal(err)
	}
	if c.Tree.Burn.Leaf.Prices[0].PerUnit != 0.4 || c.Tree.Rest.Unit != 2 || c.Tree.Rest.Rest.Leaf == nil {
		t.Errorf("%+v", c.Tree)
	}
}

func TestReadCertificateRefuses(t *testing.T) {
	p := read(t, example)
	var b bytes.Buffer
	if err := problem.WriteCertificate(&b, sampleCertificate(p), p); err != nil {
		t.Fatal(err)
	}
	good := b.String()
	for _, c := range []struct{ name, old, text, want string }{
		{"format", `"rotation-certificate/1"`, `"x"`, `c.json:2:format: "x" is another format`},
		{"hash", p.SHA256, p.SHA256[1:], `c.json:3:problem_sha256: `},
		{"bound text", `183.25`, `"a"`, `c.json:4:bound: "a" is not a number`},
		{"bound infinite", `183.25`, `1e400`, `c.json:4:bound: 1e400 is too large`},
		{"no tree", `"tree"`, `"shared"`, `key "shared" is named twice`},
		{"use", `{"use": 1}`, `{"use": 2}`, `a node uses shared leaf 2; accepts a number below 2`},
		{"use fraction", `{"use": 1}`, `{"use": 0.5}`, `tree.rest.burn.use: 0.5 is not one of these`},
		{"half a node", `"rest": {"prices": []}`, `"use": 0`, `tree.rest: a node with other keys than these`},
		{"node and leaf", `{"use": 1}`, `{"use": 1, "prices": []}`, `tree.rest.burn: a node with other keys than these`},
		{"leaf without prices", `{"use": 1}`, `{"blocks": []}`, `tree.rest.burn: a node with other keys than these`},
		{"season of a leaf", `{"use": 1}`, `{"use": 1, "season": "dormant"}`, `tree.rest.burn: a node with other keys than these`},
		{"unknown season", `"year": 2027, "season": "dormant"`, `"year": 2027, "season": "x"`, `tree.rest.season: "x" is unknown`},
		{"row", `"row": "burn_days"`, `"row": "days"`, `tree.burn.prices[3].row: "days" is not a kind of row`},
		{"missing key", `, "season": "late-growing"`, ``, `tree.burn.prices[3]: the key season is missing`},
		{"key of another row", `"row": "acres", `, `"row": "acres", "mix": "savanna", `, `tree.burn.prices[0]: a key that a row of kind acres does not have`},
		{"key twice", `"row": "acres", `, `"row": "acres", "row": "acres", `, `key "row" is named twice`},
		{"year outside", `"row": "acres", "year": 2027`, `"row": "acres", "year": 2047`, `tree.burn.prices[0].year: 2047 is not one of these`},
		{"class", `"class": "young"`, `"class": "x"`, `tree.burn.prices[1]: "x" is unknown`},
		{"pair of one", `["n1", "n3"], "year"`, `["n1", "n1"], "year"`, `tree.burn.prices[2].pair: no pair of units`},
		{"pair of three", `["n1", "n3"], "year"`, `["n1", "n3", "n2"], "year"`, `tree.burn.prices[2].pair[2]: a third unit`},
		{"weight 0", `[1, 2, 1]`, `[1, 0, 1]`, `tree.burn.cuts[1].weight[1]: 0 is not one of these`},
		{"weights", `[1, 2, 1]`, `[1, 2]`, `tree.burn.cuts[1]: 2 weights for 3 units`},
		{"share", `"share": [0.5, 1]`, `"share": [0.5]`, `1 shares for 2 units`},
		{"ages", `"prices": [0, -1.5, 2]`, `"prices": [0, "1", 2]`, `ages[0].prices[1]: "1" is not a number`},
		{"shift", `{"unit": "n1", "year": 2028, "price": 2.5}`, `{"unit": "n1", "year": 2028}`, `shift[0]: the key price is missing`},
		{"unknown unit", `"tree": {"unit": "n1"`, `"tree": {"unit": "n9"`, `tree.unit: "n9" is unknown`},
		{"cut off", "\n}\n", "", "the file ends early"},
		{"after the end", "\n}\n", "\n}\n0", "after the end of the JSON text"},
	} {
		t.Run(c.name, func(t *testing.T) {
			i := strings.LastIndex(good, c.old)
			if i < 0 {
				t.Fatalf("the certificate does not hold %s:\n%s", c.old, good)
			}
			_, err := problem.ReadCertificate(strings.NewReader(good[:i]+c.text+good[i+len(c.old):]), "c.json", p)
			if err == nil || !source.Is(err) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
	for i := range good[:len(good)-2] {
		if _, err := problem.ReadCertificate(strings.NewReader(good[:i]), "c.json", p); err == nil {
			t.Fatalf("cut off after %d of %d bytes it is accepted", i, len(good))
		}
	}
}

func TestReadCertificateIsNotTooDeep(t *testing.T) {
	p := read(t, example)
	n := problem.MaxCertificateDepth + 5
	text := `{"format": "rotation-certificate/1", "problem_sha256": "` + p.SHA256 + `", "bound": 1, "tree": ` +
		strings.Repeat(`{"unit": "n1", "year": 2028, "burn": `, n) + `{}` + strings.Repeat(`}`, n) + `}`
	if _, err := problem.ReadCertificate(strings.NewReader(text), "c.json", p); err == nil || !strings.Contains(err.Error(), "deeper than") || len(err.Error()) > 400 {
		t.Errorf("%v", err)
	}
}

func TestRandomProblemsRoundTrip(t *testing.T) {
	for seed := range uint64(300) {
		roundTrip(t, reference.Random(rand.New(rand.NewPCG(seed, 2)), reference.Size{Locks: 50}))
	}
}

func TestCanonicalSaysWhere(t *testing.T) {
	p := read(t, example)
	p.Units[1].Acres = -2
	if _, err := problem.Canonical(p); err == nil || err.Error() != "units[1].acres: -2 is negative; accepts acres above 0, up to 1000000000" {
		t.Error(err)
	}
	p.Units[1].Acres = math.NaN()
	if _, err := problem.Canonical(p); err == nil || !source.Is(err) {
		t.Error(err)
	}
	p = read(t, example)
	p.Caps = p.Caps[1:]
	if _, err := problem.Canonical(p); err == nil || !source.Is(err) {
		t.Error(err)
	}
}

func FuzzReadAnswerAndCertificate(f *testing.F) {
	p, err := problem.Read(strings.NewReader(example), "p")
	if err != nil {
		f.Fatal(err)
	}
	var b bytes.Buffer
	if err := problem.WriteAnswer(&b, sampleAnswer(), p); err != nil {
		f.Fatal(err)
	}
	f.Add(bytes.Clone(b.Bytes()))
	b.Reset()
	if err := problem.WriteCertificate(&b, sampleCertificate(p), p); err != nil {
		f.Fatal(err)
	}
	f.Add(bytes.Clone(b.Bytes()))
	f.Fuzz(func(t *testing.T, data []byte) {
		if a, err := problem.ReadAnswer(bytes.NewReader(data), "f", p); err == nil {
			if err := problem.WriteAnswer(&bytes.Buffer{}, a, p); err != nil {
				t.Error(err)
			}
		} else if !source.Is(err) {
			t.Error(err)
		}
		if c, err := problem.ReadCertificate(bytes.NewReader(data), "f", p); err == nil {
			if err := problem.WriteCertificate(&bytes.Buffer{}, c, p); err != nil {
				t.Error(err)
			}
		} else if !source.Is(err) {
			t.Error(err)
		}
	})
}

func TestSavingOfEveryYearKeepsItsRow(t *testing.T) {
	p := read(t, example)
	a := &problem.Answer{Status: problem.Optimal, More: []problem.Saving{
		{Row: problem.Row{Kind: problem.RowBurnDays, Year: problem.EveryYear, Season: 1}, Step: 1, Cost: 2, Bound: 2, Saves: 0.5},
		{Row: problem.Row{Kind: problem.RowAcres, Year: 2028}, Step: 6, Cost: 2.25, Bound: 2, Saves: 0.25},
	}}
	var file bytes.Buffer
	if err := problem.WriteAnswer(&file, a, p); err != nil {
		t.Fatal(err)
	}
	again, err := problem.ReadAnswer(bytes.NewReader(file.Bytes()), "answer.json", p)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(a.More, again.More); diff != "" {
		t.Error(diff)
	}
	// A price always belongs to one year.
	bad := strings.Replace(file.String(), `"prices": []`, `"prices": [{"row": "acres", "per_unit": 1}]`, 1)
	if _, err := problem.ReadAnswer(strings.NewReader(bad), "answer.json", p); err == nil {
		t.Error("a price without a year is taken")
	}
}
