package web

import (
	"context"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// burnWish is a burn as a form has it: texts as they were typed. A field that is
// null leaves as it is what stands.
type burnWish struct {
	Unit         string         `json:"unit"`
	On           *string        `json:"on"`
	Through      *string        `json:"through"`
	Kind         *string        `json:"kind"`
	Acres        *string        `json:"acres"`
	Purpose      *string        `json:"purpose"`
	Ignition     *string        `json:"ignition"`
	Start        *string        `json:"start"`
	End          *string        `json:"end"`
	FuelMoisture *string        `json:"fuel_moisture"`
	SoilMoisture *string        `json:"soil_moisture"`
	Crew         *string        `json:"crew"`
	Permit       *string        `json:"permit"`
	Escapes      *string        `json:"escapes"`
	MopUpEnd     *string        `json:"mop_up_end"`
	Notes        *string        `json:"notes"`
	Consumed     *string        `json:"consumed"`
	TopKilled    *string        `json:"top_killed"`
	Readings     []typedReading `json:"readings"`
	// Files are paths below the folder of the property.
	Files []string `json:"files"`
	// Dropped are files that were dropped: they stay where they are, below the folder
	// of the property, and are found there by name and content.
	Dropped []droppedFile `json:"dropped"`
	// Outline is a map file of what burned, in place of acres.
	Outline *outlineFile `json:"outline"`
	// Another says that it is a fire of its own beside one whose days overlap.
	Another bool   `json:"another"`
	Because string `json:"because"`
}

// droppedFile names a file by its content.
type droppedFile struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

// outlineFile is a map file with its content.
type outlineFile struct {
	droppedFile
	Data []byte `json:"data"`
}

// typedReading is one weather reading as it was typed.
type typedReading struct {
	At   string `json:"at"`
	Temp string `json:"temp"`
	RH   string `json:"rh"`
	Wind string `json:"wind"`
	From string `json:"from"`
}

// text puts a reading into the form that the layer reads.
func (r typedReading) text() string {
	words := []string{strings.TrimSpace(r.At)}
	for _, field := range [][2]string{{"temp", r.Temp}, {"rh", r.RH}, {"wind", r.Wind}, {"from", r.From}} {
		if value := strings.TrimSpace(field[1]); value != "" {
			words = append(words, field[0]+"="+value)
		}
	}
	return strings.Join(words, " ")
}

func (r typedReading) isEmpty() bool {
	return strings.TrimSpace(r.At+r.Temp+r.RH+r.Wind+r.From) == ""
}

func optionFault(option, accepts, format string, args ...any) error {
	return &app.OptionError{Option: option, Found: fmt.Sprintf(format, args...), Accepts: accepts}
}

func day(option string, text *string) (*date.Day, error) {
	if text == nil || *text == "" {
		return nil, nil
	}
	on, err := date.ParseDay(*text)
	if err != nil {
		return nil, optionFault(option, "a date", "%q is not a date", *text)
	}
	return &on, nil
}

// change turns typed texts into values.
func (b *burnWish) change(s *app.Session) (c app.BurnChange, err error) {
	if c.On, err = day("on", b.On); err != nil {
		return c, err
	}
	if c.Through, err = day("through", b.Through); err != nil {
		return c, err
	}
	if b.Kind != nil {
		kind := habitat.RecordKind(*b.Kind)
		c.Kind = &kind
	}
	if b.Acres != nil && strings.TrimSpace(*b.Acres) != "" {
		v, err := quantity.Parse(*b.Acres)
		if err != nil {
			return c, optionFault("acres", "acres, such as 38.5", "%q is not a number", *b.Acres)
		}
		acres := quantity.Acres(v)
		c.Acres = &acres
	}
	for _, share := range []struct {
		option string
		from   *string
		to     **quantity.Share
	}{{"consumed", b.Consumed, &c.Consumed}, {"top-killed", b.TopKilled, &c.TopKilled}} {
		if share.from == nil || strings.TrimSpace(*share.from) == "" {
			continue
		}
		v, err := quantity.Parse(*share.from)
		if err != nil {
			return c, optionFault(share.option, "a share from 0 to 1, such as 0.8", "%q is not a number", *share.from)
		}
		one := quantity.Share(v)
		*share.to = &one
	}
	c.Purpose, c.Ignition, c.Start, c.End, c.FuelMoisture, c.SoilMoisture = b.Purpose, b.Ignition, b.Start, b.End, b.FuelMoisture, b.SoilMoisture
	c.Crew, c.Permit, c.Escapes, c.MopUpEnd, c.Notes = b.Crew, b.Permit, b.Escapes, b.MopUpEnd, b.Notes
	for i, r := range b.Readings {
		if r.isEmpty() {
			continue
		}
		one, err := habitat.ParseReading(r.text())
		if err != nil {
			found, accepts, _ := strings.Cut(err.Error(), "; accepts ")
			return c, optionFault(fmt.Sprintf("reading %d", i+1), accepts, "%s", found)
		}
		c.Readings = append(c.Readings, one)
	}
	for _, dropped := range b.Dropped {
		file, err := dropped.find(s, "files")
		if err != nil {
			return c, err
		}
		c.Files = append(c.Files, file)
	}
	if b.Outline != nil {
		if c.Outline, err = b.Outline.read(s); err != nil {
			return c, err
		}
		if c.Acres != nil {
			return c, optionFault("acres", "acres or an outline", "both say how much burned")
		}
	}
	for _, name := range b.Files {
		if strings.TrimSpace(name) == "" {
			continue
		}
		file, err := attach(s, name)
		if err != nil {
			return c, err
		}
		c.Files = append(c.Files, file)
	}
	return c, nil
}

// attach names a file by path and checksum. Only files below the folder of the
// property are opened.
func attach(s *app.Session, name string) (habitat.Attachment, error) {
	if !filepath.IsLocal(name) {
		return habitat.Attachment{}, optionFault("files", "the path of a file below the folder of the property", "%q is not below it", name)
	}
	folder, err := filepath.EvalSymlinks(filepath.Dir(s.Store.Path()))
	if err != nil {
		return habitat.Attachment{}, err
	}
	whole, err := filepath.EvalSymlinks(filepath.Join(folder, name))
	if err != nil {
		return habitat.Attachment{}, optionFault("files", "the path of a file below the folder of the property", "there is no file %q", name)
	}
	if inside, err := filepath.Rel(folder, whole); err != nil || !filepath.IsLocal(inside) {
		return habitat.Attachment{}, optionFault("files", "the path of a file below the folder of the property", "%q leads out of it", name)
	}
	if info, err := os.Stat(whole); err == nil && !info.Mode().IsRegular() {
		return habitat.Attachment{}, optionFault("files", "the path of a file below the folder of the property", "%q is not a regular file", name)
	}
	return s.Attach(whole)
}

// mostLooked bounds how many files are looked at to find one that was dropped.
const mostLooked = 20000

// find looks below the folder of the property for the file that was dropped. A
// browser tells no path, so that name and content have to do.
func (d *droppedFile) find(s *app.Session, option string) (habitat.Attachment, error) {
	folder := filepath.Dir(s.Store.Path())
	var found *habitat.Attachment
	looked := 0
	err := filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		looked++
		switch {
		case looked > mostLooked:
			return fs.SkipAll
		case err != nil:
			return nil // a folder that cannot be read holds nothing for us
		case entry.IsDir() && path != folder && strings.HasPrefix(entry.Name(), "."):
			return fs.SkipDir
		case !entry.Type().IsRegular() || entry.Name() != d.Name:
			return nil
		}
		one, err := s.Attach(path)
		if err == nil && strings.EqualFold(one.SHA256, d.SHA256) {
			found = &one
			return fs.SkipAll
		}
		return nil
	})
	switch {
	case err != nil:
		return habitat.Attachment{}, err
	case found == nil:
		return habitat.Attachment{}, optionFault(
			option,
			"a file that lies below the folder of the property: put it there first",
			"%q with this content lies nowhere below the folder of the property",
			d.Name,
		)
	}
	return *found, nil
}

// read takes what burned from the file's shapes.
func (o *outlineFile) read(s *app.Session) (*app.Outline, error) {
	file, err := o.find(s, "outline")
	if err != nil {
		return nil, err
	}
	layer, err := geofile.ReadBytes(o.Data, o.Name, geofile.Options{})
	if err != nil {
		return nil, err
	}
	burned := &app.Outline{Name: o.Name, File: file}
	for i := range layer.Features {
		burned.Shape.Polygons = append(burned.Shape.Polygons, layer.Features[i].Shape.Polygons...)
	}
	return burned, nil
}

// notedBurn is the answer to a burn that was put on record.
type notedBurn struct {
	Number int64  `json:"number"`
	Words  string `json:"words"`
}

func noted(v *view.NotedBurn, err error) (any, error) {
	if err != nil {
		return nil, err
	}
	return notedBurn{v.Record.ID, v.Words()}, nil
}

func recordBurn(ctx context.Context, s *app.Session, in burnWish, _ *http.Request) (any, error) {
	c, err := in.change(s)
	if err != nil {
		return nil, err
	}
	on := c.On
	if on == nil {
		return nil, optionFault("on", "a date", "it is missing")
	}
	c.On = nil
	return noted(s.RecordBurn(ctx, in.Unit, *on, c, in.Another))
}

func correctBurn(ctx context.Context, s *app.Session, in burnWish, r *http.Request) (any, error) {
	number, err := burnNumber(r)
	if err != nil {
		return nil, err
	}
	c, err := in.change(s)
	if err != nil {
		return nil, err
	}
	return noted(s.CorrectBurn(ctx, number, c, in.Because))
}

// withdrawal is the reason why a burn is taken from the record.
type withdrawal struct {
	Because string `json:"because"`
}

func withdrawBurn(ctx context.Context, s *app.Session, in withdrawal, r *http.Request) (any, error) {
	number, err := burnNumber(r)
	if err != nil {
		return nil, err
	}
	return map[string]int64{"number": number}, s.WithdrawBurn(ctx, number, in.Because)
}

func burnNumber(r *http.Request) (int64, error) {
	number, err := strconv.ParseInt(r.PathValue("number"), 10, 64)
	if err != nil {
		return 0, &badRequestError{"number: it is not that of a burn"}
	}
	return number, nil
}
