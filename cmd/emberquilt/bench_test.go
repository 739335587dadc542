package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"emberquilt/cmd/internal/cli"
)

// execute carries out one command and gives its output.
func execute(b *testing.B, args ...string) string {
	b.Helper()
	var out, errs bytes.Buffer
	p := cli.Program{Args: append([]string{"--today", "2026-11-25"}, args...), In: strings.NewReader(""), Out: &out, Err: &errs,
		Getenv: func(string) string { return "" }, Now: time.Now}
	if status := p.Run(context.Background()); status != 0 {
		b.Fatalf("emberquilt %s: status %d\n%s", strings.Join(args, " "), status, errs.String())
	}
	return out.String()
}

// BenchmarkDemo builds the three properties with all their papers. It is to stay
// under 5 s on two cores.
func BenchmarkDemo(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		execute(b, "demo", filepath.Join(b.TempDir(), "demo"))
	}
}

// BenchmarkImport10000 reads 10,000 units and puts them into a property file. It
// is to stay under 2 s.
func BenchmarkImport10000(b *testing.B) {
	folder := b.TempDir()
	var text strings.Builder
	text.WriteString("unit,acres,min_interval,max_interval,seasons,burn_days,cost,cover\n")
	for i := range 10_000 {
		fmt.Fprintf(&text, "unit %05d,%.1f,%d,%d,dormant;early-growing:1,1,%d,tall grass\n", i, 5+math.Mod(float64(i)*7.3, 90), 1+i%3, 3+i%3, 300+i%1000)
	}
	list := filepath.Join(folder, "units.csv")
	if err := os.WriteFile(list, []byte(text.String()), 0o666); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		property := filepath.Join(folder, fmt.Sprintf("p%d.emberquilt", n))
		n++
		execute(b, "new", property, "--settings", "../../testdata/oak-hill/settings.toml")
		execute(b, "import", list, "--property", property)
	}
}

// manyBurns writes lists of 10,000 units and of 50,000 burns of them, and makes a property
// without either.
func manyBurns(b *testing.B) (property, listed, burned string) {
	folder := b.TempDir()
	var units, burns strings.Builder
	units.WriteString("unit,acres,min_interval,max_interval,seasons,burn_days,cost,cover\n")
	burns.WriteString("unit,date,kind\n")
	for i := range 10_000 {
		fmt.Fprintf(&units, "unit %05d,%.1f,%d,%d,dormant;early-growing:1,1,%d,tall grass\n", i, 5+math.Mod(float64(i)*7.3, 90), 1+i%3, 3+i%3, 300+i%1000)
	}
	for i := range 50_000 {
		fmt.Fprintf(&burns, "unit %05d,%d-%02d-%02d,prescribed\n", i%10_000, 2010+i/10_000*3, 1+i%12, 1+i%28)
	}
	property, listed, burned = filepath.Join(folder, "p.emberquilt"), filepath.Join(folder, "units.csv"), filepath.Join(folder, "burns.csv")
	for path, text := range map[string]string{listed: units.String(), burned: burns.String()} {
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			b.Fatal(err)
		}
	}
	execute(b, "new", property, "--settings", "../../testdata/oak-hill/settings.toml")
	return property, listed, burned
}

// BenchmarkImport10000And50000 puts 10,000 units and 50,000 burns of them into a
// property, at once. It is to stay under 3 s.
func BenchmarkImport10000And50000(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		property, units, burns := manyBurns(b)
		b.StartTimer()
		execute(b, "import", units, burns, "--property", property)
	}
}

// BenchmarkImport50000Burns puts the burns into the property with the units.
func BenchmarkImport50000Burns(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		property, units, burns := manyBurns(b)
		execute(b, "import", units, "--property", property)
		b.StartTimer()
		execute(b, "import", burns, "--property", property)
	}
}

// BenchmarkLockBeside50000Burns changes one thing in such a property.
func BenchmarkLockBeside50000Burns(b *testing.B) {
	property, units, burns := manyBurns(b)
	execute(b, "import", units, burns, "--property", property)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		execute(b, "lock", "unit 00001", fmt.Sprint(2030+n%20), "burn", "--property", property)
		n++
	}
}

// BenchmarkPlanDemo solves the demo's three problems to the end; the gap that
// was proven is reported beside the time.
func BenchmarkPlanDemo(b *testing.B) {
	folder := filepath.Join(b.TempDir(), "demo")
	execute(b, "demo", folder)
	for _, name := range []string{"tamsel-bend", "pennywhistle-place", "nine-gate"} {
		b.Run(name, func(b *testing.B) {
			property := filepath.Join(folder, name, name+".emberquilt")
			var plan struct{ Gap float64 }
			for b.Loop() {
				out := execute(b, "plan", "--json", "--caps=false", "--property", property)
				gap := strings.Index(out, `"gap": `)
				if _, err := fmt.Sscanf(out[gap+len(`"gap": `):], "%g", &plan.Gap); gap < 0 || err != nil {
					b.Fatal("the plan has no gap")
				}
			}
			b.ReportMetric(100*plan.Gap, "gap-%")
		})
	}
}
