package table

import (
	"io"
	"testing"

	"emberquilt/report/internal/sample"
	"emberquilt/report/view"
)

func BenchmarkPacketWorkbook(b *testing.B) {
	b.ReportAllocs()
	v := view.NewPacket(sample.Packet())
	for b.Loop() {
		if err := WriteXLSX(io.Discard, v.Stamp, PacketSheets(v)...); err != nil {
			b.Fatal(err)
		}
	}
}
