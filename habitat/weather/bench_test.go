package weather

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"os"
	"testing"
)

func unpacked(b *testing.B, name string) []byte {
	b.Helper()
	f, err := os.Open(shared(b, name))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	r, err := gzip.NewReader(f)
	if err != nil {
		b.Fatal(err)
	}
	data, err := io.ReadAll(r)
	if err != nil {
		b.Fatal(err)
	}
	return data
}

// Ten years of ISD-Lite, made of one real year under ten year numbers: the aim
// is a second.
func BenchmarkISDLiteTenYears(b *testing.B) {
	year := unpacked(b, "isd/725300-2017.isdlite.gz")
	var files [][]byte
	size := 0
	for y := 2008; y < 2018; y++ {
		text := bytes.ReplaceAll(year, []byte("\n2017 "), fmt.Appendf(nil, "\n%d ", y))
		copy(text, fmt.Sprint(y))
		files = append(files, text)
		size += len(text)
	}
	b.SetBytes(int64(size))
	b.ReportAllocs()
	for b.Loop() {
		var in []File
		for i, text := range files {
			in = append(in, File{fmt.Sprint(i), bytes.NewReader(text)})
		}
		r, err := Read(context.Background(), in, Options{UTCOffset: hours(-6)})
		if err != nil || len(r.Hours) < 87000 {
			b.Fatal(err, len(r.Hours))
		}
	}
}

// The nine-year LCD file, unpacked: the aim is 100 MB/s.
func BenchmarkLCD(b *testing.B) {
	text := unpacked(b, "lcd/JFK_94789_LCDv1_2010-2018.csv.gz")
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		r, err := Read(context.Background(), []File{{"lcd", bytes.NewReader(text)}}, Options{})
		if err != nil || len(r.Hours) < 75000 {
			b.Fatal(err)
		}
	}
}

func BenchmarkEPW(b *testing.B) {
	text, err := os.ReadFile(shared(b, "epw/USA_CO_Denver.Intl.AP.725650_TMY3.epw"))
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(context.Background(), []File{{"epw", bytes.NewReader(text)}}, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
