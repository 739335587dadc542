package weather

import (
	"archive/zip"
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// Options say what a file leaves open.
type Options struct {
	// UTCOffset is local standard time minus UTC. Formats in UTC need it; the
	// formats that state their own keep it. nil means not known.
	UTCOffset *quantity.Hours
	// Place is where the station stands, for formats that do not say; nil means
	// not known.
	Place *Place
	// Columns maps the columns of a plain CSV file; nil means the names that
	// Columns documents.
	Columns *Columns
	// Metric says that the values of an LCD version 2 file are metric; nil means
	// that it is told from the decimals of its temperatures.
	Metric *bool
	// RainUnit is the unit of a TMY3 file's precipitation; empty means that it
	// is told from the file, which is refused where that does not decide.
	RainUnit RainUnit

	// lines counts the lines of data read so far.
	lines *int
}

// RainUnit is a unit of precipitation depths.
type RainUnit string

// The units that a TMY3 file's depths may be in.
const (
	RainMillimeters RainUnit = "mm"
	RainTenths      RainUnit = "tenths"
)

// File is a file that is already open.
type File struct {
	Name    string
	Content io.Reader
}

// Limits on packed files, against ones that were made to fill the memory.
const (
	maxZip      = 1 << 30
	maxMembers  = 5_000
	maxUnpacked = 4 << 30
)

// Read reads the files of one station, each plain, packed by gzip or in a zip
// file, of any of the record formats, and joins them. Bad lines are read around
// up to BadAllowed and kept in the record's Sources; beyond that, and for
// anything that is not a weather record, the error is a *source.List or
// *source.Error and there is no record.
func Read(ctx context.Context, files []File, options Options) (*Record, error) {
	if err := options.validate(); err != nil {
		return nil, err
	}
	options.lines = new(int)
	var parts []*gather
	for _, f := range files {
		read, err := readFile(ctx, f, &options)
		if err != nil {
			return nil, err
		}
		parts = append(parts, read...)
	}
	return join(parts, &options)
}

// validate refuses an offset or a place that cannot be one.
func (o *Options) validate() error {
	if o.UTCOffset != nil && !(*o.UTCOffset >= -12 && *o.UTCOffset <= 14) {
		return &source.Error{Position: source.Position{Field: "UTC offset"}, Found: formatFloat(float64(*o.UTCOffset)) + " is not an offset in hours",
			Accepts: "-12 to 14, such as -6 for US central standard time"}
	}
	if p := o.Place; p != nil && !isPlace(*p) {
		return &source.Error{Position: source.Position{Field: "place"}, Found: fmt.Sprintf("%v, %v is not a position", p.Latitude, p.Longitude),
			Accepts: "latitude -90 to 90 and longitude -180 to 180 in degrees"}
	}
	if !slices.Contains([]RainUnit{"", RainMillimeters, RainTenths}, o.RainUnit) {
		return &source.Error{Position: source.Position{Field: "rain unit"}, Found: source.Quote(string(o.RainUnit)) + " is not a unit of rain", Accepts: "mm or tenths"}
	}
	return nil
}

func isPlace(p Place) bool {
	return p.Latitude >= -90 && p.Latitude <= 90 && p.Longitude >= -180 && p.Longitude <= 180
}

// readFile unpacks and reads one file; a zip file may hold several.
func readFile(ctx context.Context, f File, options *Options) ([]*gather, error) {
	in := bufio.NewReaderSize(f.Content, 64<<10)
	start, _ := in.Peek(4)
	switch {
	case bytes.HasPrefix(start, []byte("\x1f\x8b")):
		unpacked, err := gzip.NewReader(in)
		if err != nil {
			return nil, packedError(f.Name, "gzip", err)
		}
		g, err := readContent(ctx, File{f.Name, unpacked}, "gzip", options)
		if err != nil {
			return nil, err
		}
		return []*gather{g}, nil
	case bytes.HasPrefix(start, []byte("PK\x03\x04")):
		return readZip(ctx, File{f.Name, in}, options)
	}
	g, err := readContent(ctx, File{f.Name, in}, "", options)
	if err != nil {
		return nil, err
	}
	return []*gather{g}, nil
}

// readZip reads every member of a zip file that is a weather record and passes
// over the others, such as the climate summaries beside an EPW file.
func readZip(ctx context.Context, f File, options *Options) ([]*gather, error) {
	data, err := io.ReadAll(io.LimitReader(f.Content, maxZip+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", f.Name, err)
	}
	if len(data) > maxZip {
		return nil, &source.Error{Position: source.Position{File: f.Name}, Found: "is a zip file of more than 1 GB", Accepts: "a smaller one"}
	}
	// Each is looked into, and each has its mark in the list at the end of the file.
	if n := bytes.Count(data, []byte("PK\x01\x02")); n > maxMembers {
		return nil, &source.Error{Position: source.Position{File: f.Name}, Found: fmt.Sprintf("is a zip file of %d files", n), Accepts: fmt.Sprintf("up to %d", maxMembers)}
	}
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, packedError(f.Name, "zip", err)
	}
	var parts []*gather
	var passed []string
	for _, member := range archive.File {
		if member.FileInfo().IsDir() {
			continue
		}
		content, err := member.Open()
		if err != nil {
			return nil, packedError(f.Name, "zip", err)
		}
		name := f.Name + ":" + filepath.Base(member.Name)
		g, err := readContent(ctx, File{name, content}, "zip", options)
		content.Close()
		if errors.Is(err, errUnrecognized) {
			passed = append(passed, filepath.Base(member.Name))
			continue
		}
		if err != nil {
			return nil, err
		}
		parts = append(parts, g)
	}
	if len(parts) == 0 {
		return nil, &source.Error{Position: source.Position{File: f.Name}, Found: "is a zip file without a weather record", Accepts: Formats}
	}
	if len(passed) > 0 {
		parts[0].note("passed over in the zip file, being no weather record: %s", joinNames(passed))
	}
	return parts, nil
}

func packedError(name, packing string, err error) error {
	return &source.Error{Position: source.Position{File: name}, Found: "is a damaged " + packing + " file: " + err.Error(),
		Accepts: "a whole one", Hint: "the download may have stopped in the middle"}
}

// errUnrecognized marks content of no known format.
var errUnrecognized = errors.New("unrecognized")

// unrecognized is a *source.Error that errors.Is finds as errUnrecognized.
type unrecognized struct{ why *source.Error }

func (u unrecognized) Error() string        { return u.why.Error() }
func (u unrecognized) Is(target error) bool { return target == errUnrecognized }
func (u unrecognized) Unwrap() error        { return u.why }

// readContent recognizes and reads one unpacked file.
func readContent(ctx context.Context, f File, packed string, options *Options) (*gather, error) {
	content := bufio.NewReaderSize(&capped{f.Content, maxUnpacked}, 256<<10)
	start, err := content.Peek(64 << 10)
	if err != nil && err != io.EOF && len(start) == 0 {
		return nil, packedError(f.Name, cmpOr(packed, "or unreadable"), err)
	}
	format := Recognize(start, options.Columns)
	read, known := readers[format]
	if !known {
		return nil, refuse(f.Name, format, start)
	}
	g := &gather{ctx: ctx, options: options, in: newLines(content), about: &Source{File: f.Name, Format: format, Packed: packed}}
	if format == LCD2 {
		g.sniffUnits(start)
	}
	if err := read(g); err != nil {
		return nil, err
	}
	if g.stopped != nil {
		return nil, g.stopped
	}
	if err := g.in.scan.Err(); err != nil {
		where := source.Position{File: f.Name, Line: g.in.n + 1}
		if errors.Is(err, bufio.ErrTooLong) {
			return nil, &source.Error{Position: where, Found: "is longer than a million bytes", Accepts: "lines of text"}
		}
		if packed != "" {
			return nil, &source.Error{Position: where, Found: "the " + packed + " file breaks off here: " + err.Error(),
				Accepts: "a whole one", Hint: "the download may have stopped in the middle"}
		}
		return nil, fmt.Errorf("read %s: %w", f.Name, err)
	}
	return g, g.finish()
}

// readers holds the reader of each record format. A reader takes all lines,
// complains of bad ones and returns an error only where the file cannot be read
// at all.
var readers = map[Format]func(*gather) error{
	EPW: readEPW, TMY3: readTMY3, TMY2: readTMY2, ISDLite: readISDLite, ISD: readISD,
	GlobalHourly: readGlobalHourly, LCD1: readLCD, LCD2: readLCD, Plain: readPlain,
}

// refuse says why a content is not read as a record.
func refuse(name string, format Format, start []byte) error {
	e := &source.Error{Position: source.Position{File: name}, Found: "is not a weather record that is known here", Accepts: Formats}
	switch {
	case format == ForecastHourly || format == ForecastGridpoint:
		e.Found, e.Accepts = "is a forecast ("+string(format)+"), not a record of past weather", "a record; a forecast is read by the forecast check"
	case len(bytes.TrimSpace(start)) == 0:
		e.Found = "is empty"
	case bytes.HasPrefix(start, []byte("\xff\xfe")) || bytes.HasPrefix(start, []byte("\xfe\xff")):
		e.Found, e.Hint = "is text in UTF-16", "save it as UTF-8 or plain CSV"
	case bytes.IndexByte(start, 0) >= 0:
		e.Found = "is a binary file"
	default:
		first, _, _ := bytes.Cut(start, []byte("\n"))
		e.Found = "is of no format that is known here; it begins " + source.Quote(string(bytes.TrimRight(first, "\r")))
	}
	return unrecognized{e}
}

// finish turns what was gathered from one file into hours in order, or into the
// reason why the file is refused.
func (g *gather) finish() error {
	about := g.about
	if g.list.n == 0 && g.others.n > 0 {
		g.list = g.others
		about.OtherReports -= g.others.n
		g.note("holds no report of type FM-15; hourly reports of other types were taken")
	}
	g.others = hourList{}
	about.Bad = g.bad.Errors
	if allowed := BadAllowed(about.Lines); about.BadLines > allowed {
		list := g.bad
		list.Errors = append([]*source.Error{{Position: source.Position{File: about.File},
			Found:   fmt.Sprintf("%d of %d lines are bad", about.BadLines, about.Lines),
			Accepts: fmt.Sprintf("up to %d (ten, or one line in fifty, and never more than half)", allowed)}}, list.Errors...)
		return &list
	}
	if g.hours = g.list.take(); len(g.hours) == 0 {
		return &source.Error{Position: source.Position{File: about.File}, Found: fmt.Sprintf("holds no hour that can be used, in %d lines", about.Lines),
			Accepts: "hourly readings"}
	}
	if g.typical {
		g.toTypicalYear()
	}
	g.hours, about.Duplicates = settle(g.hours)
	if about.Duplicates > 0 {
		g.note("%d records are for an hour that already had one; the first in file order is kept", about.Duplicates)
	}
	about.Kept = len(g.hours)
	about.First, about.Last = g.hours[0].At, g.hours[len(g.hours)-1].At
	return nil
}

// capped fails after a number of bytes, so that a packed file cannot fill the
// memory.
type capped struct {
	r    io.Reader
	left int64
}

func (c *capped) Read(p []byte) (int, error) {
	if c.left <= 0 {
		return 0, errors.New("holds more than 4 GB when unpacked")
	}
	if int64(len(p)) > c.left {
		p = p[:c.left]
	}
	n, err := c.r.Read(p)
	c.left -= int64(n)
	return n, err
}

func cmpOr(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// joinNames lists names, the first five of them.
func joinNames(names []string) string {
	text := ""
	for i, name := range names {
		switch {
		case i == 5:
			return fmt.Sprintf("%s and %d more", text, len(names)-5)
		case i > 0:
			text += ", "
		}
		text += source.Quote(name)
	}
	return text
}
