package weather

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
)

func unpacked(b *testing.B, name string) []byte {
	b.Helper()
	f, err := os.Open(station(b, name))
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	var r io.Reader = f
	if strings.HasSuffix(name, ".gz") {
		if r, err = gzip.NewReader(f); err != nil {
			b.Fatal(err)
		}
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

// One real file of each other format that there is one of, unpacked.
func BenchmarkOneFile(b *testing.B) {
	for _, c := range []struct {
		format Format
		name   string
	}{
		{EPW, "epw/USA_CO_Denver.Intl.AP.725650_TMY3.epw"},
		{TMY3, "tmy3/MO-Columbia_Regional_Airport.tmy3.gz"},
		{TMY2, "tmy2/12839.tm2"},
		{ISD, "isd/722874-93134-2007.isd.gz"},
		{GlobalHourly, "isd/00702699999-2017-global-hourly.csv.gz"},
	} {
		b.Run(string(c.format), func(b *testing.B) {
			text := unpacked(b, c.name)
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				r, err := Read(context.Background(), []File{{c.name, bytes.NewReader(text)}}, Options{UTCOffset: hours(-6)})
				if err != nil || r.Sources[0].Format != c.format {
					b.Fatal(err)
				}
			}
		})
	}
}
