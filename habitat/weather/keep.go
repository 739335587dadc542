package weather

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"sync"

	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
)

// keptFormat is the first byte of kept hours; a later form takes another: that of a
// record with gusts is gustFormat, that of one with mixing heights or transport winds
// smokeFormat.
const (
	keptFormat = 1
	gustFormat = 2

	smokeFormat = 3
)

// maxKeptHours is more than two centuries of hours: Keep refuses more, and what claims
// more is damaged.
const maxKeptHours = 2_000_000

// kept is what Keep writes about a record beside its hours.
type kept struct {
	Station  Station
	Typical  bool
	Sources  []Source
	Warnings []string
}

// Keep gives the record in the form in which a property file holds it: a JSON
// text about it, and its hours as packed bytes. Restore gives the same record
// back, to the last bit, but for the examples of bad lines. A record of more than two
// million hours is a *source.Error.
func (r *Record) Keep() (about, hours []byte, err error) {
	if len(r.Hours) > maxKeptHours {
		fault := &source.Error{Found: quantity.Count(len(r.Hours), "hour") + " come together", Accepts: "up to " + quantity.Count(maxKeptHours, "hour") + " of a station"}
		if len(r.Sources) > 0 {
			fault.File = r.Sources[0].File
		}
		return nil, nil, fault
	}
	sources := make([]Source, len(r.Sources))
	for i, s := range r.Sources {
		s.Bad = nil
		sources[i] = s
	}
	if about, err = json.Marshal(kept{r.Station, r.Typical, sources, r.Warnings}); err != nil {
		return nil, nil, err
	}
	var b bytes.Buffer
	b.WriteByte(r.keptForm())
	pack, err := flate.NewWriter(&b, flate.DefaultCompression)
	if err != nil {
		return nil, nil, err
	}
	_, err = pack.Write(r.columns())
	if err = errors.Join(err, pack.Close()); err != nil {
		return nil, nil, err
	}
	return about, b.Bytes(), nil
}

// keptForm is the first byte of the record's kept hours.
func (r *Record) keptForm() byte {
	all := field(0)
	for i := range r.Hours {
		all |= r.Hours[i].known
	}
	switch {
	case all&(hasMixing|hasTransport|hasTransportFrom) != 0:
		return smokeFormat
	case all&hasGust != 0:
		return gustFormat
	}
	return keptFormat
}

// columns lays the hours out column by column, which packs well: their count,
// the steps between their stamps, what is known of each, and then of each kind
// of value those that are known.
func (r *Record) columns() []byte {
	out := binary.AppendUvarint(nil, uint64(len(r.Hours)))
	last := Stamp(0)
	for i := range r.Hours {
		out = binary.AppendVarint(out, int64(r.Hours[i].At)-int64(last))
		last = r.Hours[i].At
	}
	for i := range r.Hours {
		out = binary.LittleEndian.AppendUint16(out, uint16(r.Hours[i].known))
	}
	for i := range r.Hours {
		out = append(out, r.Hours[i].rainHours)
	}
	for _, column := range valueColumns {
		for i := range r.Hours {
			if h := &r.Hours[i]; h.known&column.known != 0 {
				out = binary.LittleEndian.AppendUint64(out, math.Float64bits(*column.of(h)))
			}
		}
	}
	return out
}

// valueColumns are the kinds of value of an hour.
var valueColumns = []struct {
	known field
	of    func(*Hour) *float64
}{
	{hasTemperature, func(h *Hour) *float64 { return (*float64)(&h.temperature) }},
	{hasHumidity, func(h *Hour) *float64 { return (*float64)(&h.humidity) }},
	{hasWind, func(h *Hour) *float64 { return (*float64)(&h.wind) }},
	{hasDirection, func(h *Hour) *float64 { return (*float64)(&h.from) }},
	{hasRain, func(h *Hour) *float64 { return (*float64)(&h.rain) }},
	{hasGust, func(h *Hour) *float64 { return (*float64)(&h.gust) }},
	{hasMixing, func(h *Hour) *float64 { return (*float64)(&h.mixing) }},
	{hasTransport, func(h *Hour) *float64 { return (*float64)(&h.transport) }},
	{hasTransportFrom, func(h *Hour) *float64 { return (*float64)(&h.transportFrom) }},
}

// errKept is what Restore says of bytes that Keep did not write.
var errKept = errors.New("the kept hours are damaged")

// Restore gives back the record that Keep took; name is the file's name in
// errors, which are *source.Error.
func Restore(name string, about, hours []byte) (*Record, error) {
	refuse := func(err error) (*Record, error) {
		return nil, &source.Error{Position: source.Position{File: name}, Found: fmt.Sprintf("its weather record cannot be read (%v)", err),
			Accepts: "a record that emberquilt weather has loaded", Hint: "load the station's files again"}
	}
	var k kept
	if err := json.Unmarshal(about, &k); err != nil {
		return refuse(err)
	}
	if err := k.Station.check(); err != nil {
		return refuse(err)
	}
	if len(hours) == 0 || hours[0] < keptFormat || hours[0] > smokeFormat {
		return refuse(errKept)
	}
	u := unpackers.Get().(*unpacker)
	defer unpackers.Put(u)
	data, err := u.unpack(hours[1:])
	if err != nil {
		return refuse(errKept)
	}
	r := &Record{Station: k.Station, Typical: k.Typical, Sources: k.Sources, Warnings: k.Warnings}
	if !r.fill(data) {
		return refuse(errKept)
	}
	return r, nil
}

// check refuses a station that lies nowhere: hours are counted by its offset, and the sun
// rises by its place. No reader gives one; the text may come from elsewhere.
func (s *Station) check() error {
	if o := s.UTCOffset; o != nil && !(math.Abs(float64(*o)) <= 24) {
		return fmt.Errorf("its UTC offset is %g hours", float64(*o))
	}
	if at := s.Place; at != nil && !(math.Abs(at.Latitude) <= 90 && math.Abs(at.Longitude) <= 360) {
		return fmt.Errorf("it lies at latitude %g, longitude %g", at.Latitude, at.Longitude)
	}
	return nil
}

// unpacker is what unpacking needs. It is kept for the next record: a run over many
// properties would otherwise spend more on memory than on hours.
type unpacker struct {
	from  bytes.Reader
	flate io.ReadCloser
	data  bytes.Buffer
}

var unpackers = sync.Pool{New: func() any { return &unpacker{flate: flate.NewReader(nil)} }}

// unpack gives what was packed, good until the next call.
func (u *unpacker) unpack(packed []byte) ([]byte, error) {
	u.from.Reset(packed)
	if err := u.flate.(flate.Resetter).Reset(&u.from, nil); err != nil {
		return nil, err
	}
	u.data.Reset()
	// The widest hour takes under 90 bytes: 8 for each kind of value, and 8 beside them.
	_, err := u.data.ReadFrom(io.LimitReader(u.flate, 90*maxKeptHours))
	u.from.Reset(nil)
	return u.data.Bytes(), err
}

// Describe reads what Keep wrote about a record: everything but its hours.
func Describe(about []byte) (*Record, error) {
	var k kept
	if err := json.Unmarshal(about, &k); err != nil {
		return nil, fmt.Errorf("read about the weather record: %w", err)
	}
	return &Record{Station: k.Station, Typical: k.Typical, Sources: k.Sources, Warnings: k.Warnings}, nil
}

// fill reads what columns wrote; false means that it did not.
func (r *Record) fill(data []byte) bool {
	count, n := binary.Uvarint(data)
	if n <= 0 || count > maxKeptHours || count > uint64(len(data)) {
		return false
	}
	data = data[n:]
	r.Hours = make([]Hour, count)
	last := int64(0)
	for i := range r.Hours {
		step, n := binary.Varint(data)
		if n <= 0 || i > 0 && step <= 0 || last+step < math.MinInt32 || last+step > math.MaxInt32 {
			return false
		}
		data, last = data[n:], last+step
		r.Hours[i].At = Stamp(last)
	}
	if len(data) < 3*len(r.Hours) {
		return false
	}
	for i := range r.Hours {
		r.Hours[i].known = field(binary.LittleEndian.Uint16(data[2*i:]))
	}
	data = data[2*len(r.Hours):]
	for i := range r.Hours {
		r.Hours[i].rainHours = data[i]
	}
	data = data[len(r.Hours):]
	for _, column := range valueColumns {
		for i := range r.Hours {
			h := &r.Hours[i]
			if h.known&column.known == 0 {
				continue
			}
			if len(data) < 8 {
				return false
			}
			v := math.Float64frombits(binary.LittleEndian.Uint64(data))
			if v-v != 0 { // not a number, or infinite
				return false
			}
			*column.of(h), data = v, data[8:]
		}
	}
	return len(data) == 0
}
