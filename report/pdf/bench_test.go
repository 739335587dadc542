package pdf

import (
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
