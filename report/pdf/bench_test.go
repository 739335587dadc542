package pdf

import (
	"fmt"
	"io"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

// 200 packets are asked for in under a minute with their workbooks.
func BenchmarkPacket(b *testing.B) {
	b.ReportAllocs()
	in := sample.Packet()
	for b.Loop() {
		if err := Packet(io.Discard, view.NewPacket(in)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSheet(b *testing.B) {
	b.ReportAllocs()
	v := sample.Sheet(sample.Terrace())
	for b.Loop() {
		if err := Sheet(io.Discard, v); err != nil {
			b.Fatal(err)
		}
	}
}

// A sheet of 100 units is a paper most of whose pages are leaves.
func BenchmarkLongSheet(b *testing.B) {
	b.ReportAllocs()
	v := longSheet(100)
	for b.Loop() {
		if err := Sheet(io.Discard, v); err != nil {
			b.Fatal(err)
		}
	}
}

// longSheet is the sample's sheet of so many units.
func longSheet(units int) *view.Sheet {
	v := sample.Sheet(sample.Terrace())
	few := v.Units
	v.Units = nil
	for i := range units {
		u := few[i%len(few)]
		u.Number, u.Unit = i+1, fmt.Sprintf("%s %d", u.Unit, i+1)
		v.Units = append(v.Units, u)
	}
	for i := range v.OnSite {
		l := &v.OnSite[i]
		count := l.Counts[0]
		l.Counts = nil
		for range units {
			l.Counts = append(l.Counts, count)
		}
	}
	return v
}
