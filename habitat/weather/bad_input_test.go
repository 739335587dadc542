package weather

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"emberquilt/habitat/date"
	"emberquilt/habitat/source"
)

func packed(t *testing.T, members map[string]string, order ...string) string {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range order {
		m, err := w.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := m.Write([]byte(members[name])); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A zip file of many small files is refused before each is looked into.
func TestZipOfManyFiles(t *testing.T) {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := range 5001 {
		if _, err := w.CreateRaw(&zip.FileHeader{Name: fmt.Sprintf("%d.txt", i)}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	_, err := Read(context.Background(), []File{{"w.zip", &b}}, Options{})
	if want := "w.zip: is a zip file of 5001 files; accepts up to 5000"; err == nil || err.Error() != want {
		t.Errorf("the error is %v, want %s", err, want)
	}
}

func gzipped(t *testing.T, text string) string {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestPackedFiles(t *testing.T) {
	one := "2016 03 01 06   200   100 10258   360    62     2     0 -9999\n"
	two := "2016 03 01 07   200   100 10258   360    62     2     0 -9999\n"
	o := Options{UTCOffset: hours(-6)}
	if r := mustRead(t, gzipped(t, one+two), o); len(r.Hours) != 2 || r.Sources[0].Packed != "gzip" {
		t.Errorf("gzip: %+v", r.Sources)
	}
	r := mustRead(t, packed(t, map[string]string{"a/1.txt": one, "2": two, "notes.stat": "Climate notes\n"}, "a/1.txt", "notes.stat", "2"), o)
	if len(r.Hours) != 2 || r.Sources[0].File != "w:1.txt" || r.Sources[0].Packed != "zip" || !strings.Contains(strings.Join(r.Sources[0].Notes, " "), "notes.stat") {
		t.Errorf("zip: %+v", r.Sources)
	}
	whole := gzipped(t, strings.Repeat(one+two, 200))
	for name, c := range map[string]struct{ text, want string }{
		"cut gzip":       {whole[:len(whole)-20], "breaks off here"},
		"cut zip":        {packed(t, map[string]string{"1": one}, "1")[:60], "w: is a damaged zip file"},
		"zip of nothing": {packed(t, map[string]string{"1": "hello\n"}, "1"), "w: is a zip file without a weather record"},
	} {
		if _, err := readText(c.text, o); err == nil || !strings.Contains(err.Error(), c.want) || !source.Is(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestRefused(t *testing.T) {
	good := "2016 03 01 06   200   100 10258   360    62     2     0 -9999\n"
	for name, c := range map[string]struct {
		text string
		want string
	}{
		"empty":         {"", "w: is empty; accepts " + Formats},
		"blank":         {" \n\n", "w: is empty; accepts " + Formats},
		"UTF-16":        {"\xff\xfeL\x00O\x00", "w: is text in UTF-16; accepts " + Formats + "\nhint: save it as UTF-8 or plain CSV"},
		"binary":        {"\x89PNG\r\n\x1a\n\x00\x00", "w: is a binary file; accepts " + Formats},
		"units":         {"name,acres\nA,5\n", `w: is of no format that is known here; it begins "name,acres"; accepts ` + Formats},
		"forecast":      {`{"properties": {"periods": []}}`, "w: is a forecast (hourly forecast JSON), not a record of past weather; accepts a record; a forecast is read by the forecast check"},
		"EPW head only": {"LOCATION,x\nDESIGN CONDITIONS,0\n", "w:2: the file ends in its header; accepts eight header lines and one line an hour"},
		"EPW no hours":  {epwHead, "w: holds no hour that can be used, in 0 lines; accepts hourly readings"},
		"TMY3 column":   {"1,a,FL,-5,30,-84,2\nDate (MM/DD/YYYY),Time (HH:MM),RHum (%)\n", "w:2:Dry-bulb (C): there is no such column; accepts a header row with it"},
		"plain column":  {"time,temp_f\n2020-01-01 01:00,5\n", "w:1: the header row has no column wind_mph, wind_mps, wind_kmh or wind_kt; accepts that column, or a mapping of the file's own names"},
		"many bad": {strings.Repeat(good, 100) + strings.Repeat("2016 13 01 06   200   100 10258   360    62     2     0 -9999\n", 11),
			"w: 11 of 111 lines are bad; accepts up to 10 (ten, or one line in fifty, and never more than half)\n" +
				`w:101:date: "2016-13-01" is not a date; accepts year, month and day of a date from 1800 to 2200`},
		"bad years": {"2016 02 30 06   200   100 10258   360    62     2     0 -9999\n", "w: 1 of 1 lines are bad; accepts up to 0"},
	} {
		_, err := readText(c.text, Options{UTCOffset: hours(-6)})
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || !source.Is(err) {
			t.Errorf("%s:\n got %v\nwant %s", name, err, c.want)
		}
	}
	if _, err := Read(context.Background(), nil, Options{}); !source.Is(err) {
		t.Errorf("nothing: %v", err)
	}
	if _, err := readText(good, Options{UTCOffset: hours(25)}); err == nil || !strings.HasPrefix(err.Error(), "UTC offset: 25 is not an offset") {
		t.Errorf("offset 25: %v", err)
	}
}

// A reader of any format stops where nobody waits for it any more, and looks
// for that within 4,096 lines; a file that ends before is read.
func TestReadersStop(t *testing.T) {
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	for i, text := range seeds() {
		lines := strings.SplitAfter(text, "\n")
		hour := lines[len(lines)-2]
		read := func(count int) error {
			_, err := Read(stopped, []File{{"w", strings.NewReader(text + strings.Repeat(hour, count-1))}}, Options{UTCOffset: hours(-6)})
			return err
		}
		if err := read(5000); err != context.Canceled {
			t.Errorf("seed %d: %v", i, err)
		}
		if err := read(4000); err != nil {
			t.Errorf("seed %d, short: %v", i, err)
		}
	}
}

// Lines that begin with # are comments in a plain file, whether before its
// header row or after, and bad lines elsewhere. Empty lines are none anywhere,
// but count in places.
func TestCommentsAndEmptyLines(t *testing.T) {
	plain := "# one\ntime,temp_f,rh_pct,wind_mph\n# two\n\n" + strings.Repeat("2027-03-01 01:00,60,40,10\n", 10) + "#\n\n2027-03-01 02:00,6O,40,10\n"
	s := mustRead(t, plain, Options{}).Sources[0]
	if s.Lines != 11 || s.BadLines != 1 || s.Bad[0].Position.String() != "w:17:temp_f" {
		t.Errorf("plain: %+v", s)
	}
	for i, text := range seeds()[:len(seeds())-1] {
		lines := strings.SplitAfter(text, "\n")
		hour := lines[len(lines)-2]
		s := mustRead(t, text+strings.Repeat(hour, 9)+"\n\n# a remark\n\n"+hour, Options{UTCOffset: hours(-6)}).Sources[0]
		if s.Lines != 12 || s.BadLines != 1 || s.Bad[0].Line != len(lines)-1+9+3 {
			t.Errorf("seed %d: %+v", i, s)
		}
	}
}

// A few bad lines are read around, counted and shown with their place.
func TestFewBadLines(t *testing.T) {
	text := "time,temp_f,rh_pct,wind_mph,rain_in\n"
	for h := 1; h <= 24; h++ {
		text += fmt.Sprintf("2027-03-01 %02d:00,60,40,10,0\n", h)
	}
	text += "2027-03-02 01:00,60,-4,10,0\n2027-03-02 02:00,60,134,10,0\n2027-02-29 03:00,60,40,10,0\n2027-03-02 04:00,6O,40,-3,0\n2027-03-02 05:00,60\n"
	r := mustRead(t, text, Options{})
	if s := r.Sources[0]; s.BadLines != 5 || s.Kept != 27 {
		t.Errorf("%+v", s)
	}
	want := []string{
		"w:26:rh_pct: -4 is below 0; accepts 0 to 100 percent, or what the format writes for a missing reading",
		"w:27:rh_pct: 134 is above 100; accepts 0 to 100 percent, or what the format writes for a missing reading",
		`w:28:time: "2027-02-29 03:00" is not a time; accepts a date and time such as 2027-03-01 14:00`,
		`w:29:temp_f: "6O" is not a number; accepts a decimal number`,
		"w:29:wind_mph: -3 is below 0; accepts 0 to 257 mph, or what the format writes for a missing reading",
		"w:30: holds 2 fields; accepts as many fields as the header row",
	}
	if got := r.Complaints().Error(); got != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", got, strings.Join(want, "\n"))
	}
	if !strings.Contains(strings.Join(r.Warnings, "\n"), "w: 5 of 29 lines could not be read whole") {
		t.Errorf("%q", r.Warnings)
	}
	// The line with the bad temperature keeps its humidity, and has none it made up.
	h := r.Hours[len(r.Hours)-1]
	if _, ok := h.Temperature(); ok {
		t.Error(show(&h))
	}
}

func TestJoin(t *testing.T) {
	line := func(day, hour, temp int) string {
		return fmt.Sprintf("2016 03 %02d %02d   %3d   100 10258   360    62     2     0 -9999\n", day, hour, temp)
	}
	read := func(texts ...string) (*Record, error) {
		var files []File
		for i, text := range texts {
			files = append(files, File{fmt.Sprintf("f%d", i+1), strings.NewReader(text)})
		}
		return Read(context.Background(), files, Options{UTCOffset: hours(0)})
	}
	r, err := read(line(2, 1, 200)+line(2, 2, 200), line(1, 1, 100)+line(2, 2, 300)+line(2, 3, 300), line(2, 1, 200))
	if err != nil {
		t.Fatal(err)
	}
	want := "2016-03-01 1: t 50 rh 100 v 13.87 from 0 rain 0\n2016-03-02 1: t 68 rh 52.56 v 13.87 from 0 rain 0\n" +
		"2016-03-02 2: t 68 rh 52.56 v 13.87 from 0 rain 0\n2016-03-02 3: t 86 rh 28.96 v 13.87 from 0 rain 0"
	if got := shown(r); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if s := r.Sources[1]; s.Overlaps != 1 || s.Differing != 1 {
		t.Errorf("%+v", s)
	}
	warnings := strings.Join(r.Warnings, "\n")
	for _, want := range []string{"f2: 1 of its hours are in a file before it, which is kept; 1 of them differ", "f3: holds nothing that the files before it do not hold (0 of its hours differ); is it there twice?"} {
		if !strings.Contains(warnings, want) {
			t.Errorf("%q lacks %q", warnings, want)
		}
	}
	if _, err := read(line(2, 1, 200), tmy3Head+"01/31/1995,24:00,10,50,360,5,-9900,-9900\n01/31/1995,23:00,10,50,360,5,-9900,-9900\n"); err == nil || !strings.Contains(err.Error(), "one of them is a typical year") {
		t.Errorf("a typical year beside a measured one: %v", err)
	}
	other := strings.Replace(epwHead, "999999", "111111", 1) + epwLine(2020, 1, 1, 1, "10", "50", "90", "5.0", "0.0", "1")
	if _, err := read(epwHead+epwLine(2020, 1, 1, 1, "10", "50", "90", "5.0", "0.0", "1"), other); err == nil || !strings.Contains(err.Error(), `is of station "111111"`) {
		t.Errorf("two stations: %v", err)
	}
}

// The real ISD-Lite years join without a gap across the end of the UTC year.
func TestJoinRealYears(t *testing.T) {
	r, err := readFiles(context.Background(), []string{station(t, "isd/725300-2016.isdlite.gz"), station(t, "isd/725300-2017.isdlite.gz")}, Options{UTCOffset: hours(-6)})
	if err != nil {
		t.Fatal(err)
	}
	count := 0
	for i := range r.Hours {
		if r.Hours[i].At.Day() == date.MustDay(2016, time.December, 31) {
			count++
		}
	}
	if count != 24 || len(r.Hours) != 8782+8759 || r.Years() != 2 {
		t.Errorf("31 December 2016 has %d hours; %d hours in all, %d years", count, len(r.Hours), r.Years())
	}
}

// smooth gives days of a smooth course, warmest at a label.
func smooth(days, warmest int, wind string) string {
	text := "time,temp_f,rh_pct,wind_mph,rain_in\n"
	d := date.MustDay(2027, 1, 1)
	for range days {
		for label := 1; label <= 24; label++ {
			away := (label - warmest + 36) % 24 // 12 at the warmest
			text += fmt.Sprintf("%s %02d:00,%d,40,%s,0\n", d, label, 40+min(away, 24-away)*2, wind)
		}
		d = d.AddDays(1)
	}
	return text
}

func TestWarnings(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"afternoon", smooth(40, 15, "9"), ""},
		{"clock upside down", smooth(40, 2, "9"), "noon is colder than midnight on average"},
		{"clock six hours off", smooth(40, 9, "9"), "the warmest hour is that ending at 9:00 on average"},
		{"wind in the wrong unit", smooth(40, 15, "32"), "the median wind is 32.0 mph"},
		{"no wind", smooth(40, 15, "0"), "the median wind is 0.0 mph"},
		{"ends in the middle", strings.TrimSuffix(smooth(40, 15, "9"), strings.Join(strings.SplitAfter(smooth(40, 15, "9"), "\n")[40*24+1-12:], "")), "the record ends on 2027-02-09 at 12:00, in the middle of a day"},
		{"rain missing", strings.ReplaceAll(smooth(40, 15, "9"), ",0\n", ",\n"), "100.0 percent of the hours have no depth of precipitation"},
		{"a year missing", smooth(40, 15, "9") + "2029-06-01 18:00,60,40,9,0\n", "no reading at all in 2028"},
		{"a gap", smooth(40, 15, "9") + "2027-06-01 18:00,60,40,9,0\n", "111 days without a reading, from 2027-02-09 to 2027-06-01"},
	} {
		r := mustRead(t, c.text, Options{})
		got := strings.Join(r.Warnings, "\n")
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	r := mustRead(t, epwHead+epwLine(2020, 1, 1, 18, "10", "50", "90", "5.0", "0.0", "1"), Options{UTCOffset: hours(-5)})
	if len(r.Warnings) != 1 || r.Warnings[0] != "the UTC offset -5 was given, but the file says -6; the file's is used" {
		t.Errorf("%q", r.Warnings)
	}
}

// The right file with the wrong offset: six hours east instead of west.
func TestWrongOffsetOfARealFile(t *testing.T) {
	for offset, wrong := range map[float64]bool{-6: false, -5: false, 6: true, 12: true} {
		r, err := readFiles(context.Background(), []string{station(t, "isd/725300-2017.isdlite.gz")}, Options{UTCOffset: hours(offset)})
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(strings.Join(r.Warnings, "\n"), "the UTC offset or the station's clock"); got != wrong {
			t.Errorf("offset %v: %q", offset, r.Warnings)
		}
	}
}

// Packed files of under a megabyte that hold some hours over and over are refused at the
// line that is too many, those of one hour long before, and take memory for the lines
// before it alone: all of it is counted, freed or not, so that it is the same on every
// machine.
func TestPackedFloodIsRefused(t *testing.T) {
	if testing.Short() {
		t.Skip("reads three million lines twice")
	}
	// A thousand hours, so many that they could be a record.
	chunk, at := []byte(nil), time.Date(2016, 2, 1, 0, 0, 0, 0, time.UTC)
	for range 1000 {
		chunk = append(chunk, at.Format("2006 01 02 15")+"   200   100 10256     0     0     4    -1 -9999\n"...)
		at = at.Add(time.Hour)
	}
	hour := bytes.Repeat(chunk[:len(chunk)/1000], 1000)
	const chunks = MaxLines/1000 + 1
	// Both are packed once and repeated: gzip members follow one another, and so do the
	// blocks of a deflate stream that was flushed.
	var one, same, block, zipped bytes.Buffer
	flood := gzip.NewWriter(&same)
	flood.Write(hour)
	member := gzip.NewWriter(&one)
	deflate, err := flate.NewWriter(&block, flate.BestCompression)
	if err != nil {
		t.Fatal(err)
	}
	member.Write(chunk)
	deflate.Write(chunk)
	if err := errors.Join(member.Close(), flood.Close(), deflate.Flush()); err != nil {
		t.Fatal(err)
	}
	stream := append(bytes.Repeat(block.Bytes(), chunks), 1, 0, 0, 0xff, 0xff) // a last, empty block
	head := &zip.FileHeader{Name: "w.txt", Method: zip.Deflate, CompressedSize64: uint64(len(stream)), UncompressedSize64: uint64(chunks * len(chunk))}
	archive := zip.NewWriter(&zipped)
	raw, err := archive.CreateRaw(head)
	if err != nil {
		t.Fatal(err)
	}
	raw.Write(stream)
	if err := archive.Close(); err != nil {
		t.Fatal(err)
	}
	gz := bytes.Repeat(one.Bytes(), chunks)
	for _, c := range []struct {
		name    string
		content []byte
		want    string
		most    uint64
	}{
		{"w.gz", gz, ":3000001: the record goes on past 3,000,000 lines; accepts up to so many", 300 << 20},
		{"w.zip", zipped.Bytes(), ":3000001: the record goes on past 3,000,000 lines; accepts up to so many", 300 << 20},
		{"same.gz", bytes.Repeat(same.Bytes(), chunks), ":65536: the last 65,535 lines are readings of 1 hour, over and over; accepts a record of up to 120 readings an hour", 100 << 20},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Read(t.Context(), []File{{c.name, bytes.NewReader(c.content)}}, Options{UTCOffset: hours(-6)})
		runtime.ReadMemStats(&after)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %s", c.name, err, c.want)
		}
		taken := after.TotalAlloc - before.TotalAlloc
		t.Logf("%s of %d bytes takes %d MB in all", c.name, len(c.content), taken>>20)
		if taken > c.most {
			t.Errorf("%s of %d bytes takes %d MB", c.name, len(c.content), taken>>20)
		}
	}
}
