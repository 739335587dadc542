//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// BenchmarkPackets200 writes the packets (PDF, XLSX, CSV) of 200 properties of
// 12 units each, with outlines, a plan, a contract and readings, in one command.
// It is to stay under 60 s on two cores; cpu-s is the processor time of one run
// and peak-growth-MB what the heap of the second hundred adds to the first.
func BenchmarkPackets200(b *testing.B) {
	folder := b.TempDir()
	first := filepath.Join(folder, "first.emberquilt")
	lists := writeClient(b, folder)
	execute(b, "new", first, "--settings", "../../testdata/oak-hill/settings.toml")
	execute(b, append([]string{"import", "--property", first}, lists...)...)
	execute(b, "plan", "--property", first, "--seconds", "5", "--caps=false")
	data, err := os.ReadFile(first)
	if err != nil {
		b.Fatal(err)
	}
	for _, half := range []string{"a", "b"} {
		if err := os.MkdirAll(filepath.Join(folder, half), 0o777); err != nil {
			b.Fatal(err)
		}
		for i := range 100 {
			if err := os.WriteFile(filepath.Join(folder, half, fmt.Sprintf("client%03d.emberquilt", i)), data, 0o666); err != nil {
				b.Fatal(err)
			}
		}
	}
	var grown float64
	began := processorSeconds(b)
	b.ReportAllocs()
	for b.Loop() {
		var heap [2]runtime.MemStats
		for i, half := range []string{"a", "b"} {
			out := execute(b, "packet", "--all", filepath.Join(folder, half), "--output", filepath.Join(folder, "out-"+half))
			if n := strings.Count(out, ".pdf"); n != 100 {
				b.Fatalf("%d packets of 100", n)
			}
			runtime.ReadMemStats(&heap[i])
		}
		grown = (float64(heap[1].HeapSys) - float64(heap[0].HeapSys)) / (1 << 20)
	}
	b.ReportMetric((processorSeconds(b)-began)/float64(b.N), "cpu-s")
	b.ReportMetric(grown, "peak-growth-MB")
}

// BenchmarkClients200 makes the tables of all clients, of 200 copies of the demo's
// property of nine units with its weather record. They are to stay under 5 s on two
// cores; cpu-s is the processor time of both.
func BenchmarkClients200(b *testing.B) {
	folder := b.TempDir()
	execute(b, "demo", filepath.Join(folder, "demo"))
	data, err := os.ReadFile(filepath.Join(folder, "demo", "nine-gate", "nine-gate.emberquilt"))
	if err != nil {
		b.Fatal(err)
	}
	clients := filepath.Join(folder, "clients")
	if err := os.Mkdir(clients, 0o777); err != nil {
		b.Fatal(err)
	}
	for i := range 200 {
		if err := os.WriteFile(filepath.Join(clients, fmt.Sprintf("client%03d.emberquilt", i)), data, 0o666); err != nil {
			b.Fatal(err)
		}
	}
	began := processorSeconds(b)
	b.ReportAllocs()
	for b.Loop() {
		if n := strings.Count(execute(b, "clients", clients), "Nine Gate Farm"); n < 200 {
			b.Fatalf("%d lines of 200 clients", n)
		}
		if n := strings.Count(execute(b, "due", "--all", clients), "Nine Gate Farm"); n < 200 {
			b.Fatalf("%d units of 200 clients", n)
		}
	}
	b.ReportMetric((processorSeconds(b)-began)/float64(b.N), "cpu-s")
}

// processorSeconds is the processor time that this process has used.
func processorSeconds(b *testing.B) float64 {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		b.Fatal(err)
	}
	return (time.Duration(used.Utime.Nano()) + time.Duration(used.Stime.Nano())).Seconds()
}

// writeClient writes lists of a property of 12 units: outlines, burns with a
// reading, a contract with acres and feet.
func writeClient(b *testing.B, folder string) []string {
	var units, burns, contract strings.Builder
	units.WriteString(`{"type":"FeatureCollection","features":[`)
	burns.WriteString("unit,date,acres,reading_at,temp_f,rh_pct,wind_mph,wind_from\n")
	contract.WriteString("contract,client,practice_code,practice_name,standard_date,unit,fiscal_year,acres,feet\n")
	for i := range 12 {
		west, south := -93+0.006*float64(i%4), 41+0.005*float64(i/4)
		if i > 0 {
			units.WriteString(",")
		}
		fmt.Fprintf(&units, `{"type":"Feature","properties":{"unit":"Field %d","min_interval":2,"max_interval":4,"seasons":"dormant"},"geometry":{"type":"Polygon","coordinates":[[[%.4f,%.4f],[%.4f,%.4f],[%.4f,%.4f],[%.4f,%.4f],[%.4f,%.4f]]]}}`,
			i+1, west, south, west+0.005, south, west+0.005, south+0.003, west, south+0.004, west, south)
		fmt.Fprintf(&burns, "Field %d,%d-02-%02d,20,13:00,55,40,8,SW\n", i+1, 2023+i%4, 1+i)
		fmt.Fprintf(&contract, "Grassland contract,A. Client,338,Prescribed Burning,2020-09,Field %d,%d,20,\n", i+1, 2024+i%4)
		fmt.Fprintf(&contract, "Grassland contract,A. Client,394,Firebreak,2021-05,Field %d,%d,,900\n", i+1, 2024+i%4)
	}
	units.WriteString("]}")
	var paths []string
	for name, text := range map[string]string{"units.geojson": units.String(), "burns.csv": burns.String(), "contract.csv": contract.String()} {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			b.Fatal(err)
		}
		paths = append(paths, path)
	}
	return paths
}
