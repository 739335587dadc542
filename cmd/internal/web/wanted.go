package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
)

// WritePapers writes papers that are asked for with more than their name: file says by
// its ending in what form.
type WritePapers struct {
	Sheet func(ctx context.Context, w io.Writer, file string, s *app.Session, o app.SheetOptions) error
	Draft func(ctx context.Context, w io.Writer, file string, s *app.Session, o app.DraftOptions) error
	// Field is the map for the field, Units the units with their plan for map programs.
	Field func(ctx context.Context, w io.Writer, file string, s *app.Session) error
	Units func(ctx context.Context, w io.Writer, file string, s *app.Session) error
	// Packet is the packet of a contract.
	Packet func(ctx context.Context, w io.Writer, file string, s *app.Session, contract string) error
}

// wanted registers the papers that are made for a season, a day, a wind, a unit or a
// moment, and the maps.
func (s *Server) wanted(mux *http.ServeMux) {
	mux.HandleFunc("GET /api/p/{id}/wanted/sheet", s.within((*property).wantedSheet))
	mux.HandleFunc("GET /api/p/{id}/wanted/draft", s.within((*property).wantedDraft))
	mux.HandleFunc("GET /api/p/{id}/wanted/field", s.within((*property).wantedField))
	mux.HandleFunc("GET /api/p/{id}/wanted/units", s.within((*property).wantedUnits))
	mux.HandleFunc("GET /api/p/{id}/wanted/packet", s.within((*property).wantedPacket))
	writes(s, mux, "card", keepFiring)
}

// form is the ending of a paper's file, one of those that it has: the first where nothing
// is said.
func (q question) form(forms ...string) (string, error) {
	text := q.text("as")
	switch {
	case text == "":
		return "." + forms[0], nil
	case slices.Contains(forms, text):
		return "." + text, nil
	}
	return "", optionFault("as", strings.Join(forms, ", "), "%q is not a form of it", text)
}

// wind is the wind of an address; nil where none is named.
func (q question) wind() (*quantity.Bearing, error) {
	text := strings.TrimSpace(q.text("wind"))
	if text == "" {
		return nil, nil
	}
	from, ok := quantity.ParseDirection(text)
	if !ok {
		return nil, optionFault("wind", "a compass point such as NNW, or degrees from 0 to 360", "%q is not a direction", text)
	}
	return &from, nil
}

func (p *property) wantedSheet(w http.ResponseWriter, r *http.Request) {
	q := question{r}
	var o app.SheetOptions
	ending, err := q.form("pdf", "html")
	if err == nil {
		o.Wind, err = q.wind()
	}
	if on := q.text("on"); err == nil && on != "" {
		var d *date.Day
		if d, err = day("on", &on); err == nil {
			o.On = *d
		}
	}
	o.Season = q.text("season")
	p.write(w, r, "season-sheet"+ending, err, func(b *bytes.Buffer, file string, s *app.Session) error {
		return p.server.options.Wanted.Sheet(r.Context(), b, file, s, o)
	})
}

func (p *property) wantedDraft(w http.ResponseWriter, r *http.Request) {
	q := question{r}
	o := app.DraftOptions{Unit: q.text("unit")}
	ending, err := q.form("pdf", "html")
	if err == nil {
		o.Wind, err = q.wind()
	}
	if err == nil {
		var year int
		if year, err = q.number("year"); err == nil {
			o.Year = date.ProgramYear(year)
		}
	}
	p.write(w, r, "burn-plan-draft"+ending, err, func(b *bytes.Buffer, file string, s *app.Session) error {
		return p.server.options.Wanted.Draft(r.Context(), b, file, s, o)
	})
}

func (p *property) wantedField(w http.ResponseWriter, r *http.Request) {
	ending, err := question{r}.form("pdf", "kmz")
	p.write(w, r, "field-map"+ending, err, func(b *bytes.Buffer, file string, s *app.Session) error {
		return p.server.options.Wanted.Field(r.Context(), b, file, s)
	})
}

func (p *property) wantedUnits(w http.ResponseWriter, r *http.Request) {
	ending, err := question{r}.form("gpkg", "geojson", "kml", "csv", "zip")
	p.write(w, r, "units"+ending, err, func(b *bytes.Buffer, file string, s *app.Session) error {
		return p.server.options.Wanted.Units(r.Context(), b, file, s)
	})
}

// wantedPacket is the packet of a contract, as it is or as it was.
func (p *property) wantedPacket(w http.ResponseWriter, r *http.Request) {
	q := question{r}
	contract := q.text("contract")
	ending, err := q.form("pdf", "html", "xlsx", "csv")
	if err == nil && contract == "" {
		err = optionFault("contract", "the name of a contract", "it is missing")
	}
	text := strings.TrimSpace(q.text("as-of"))
	if text == "" {
		p.write(w, r, "packet"+ending, err, func(b *bytes.Buffer, file string, s *app.Session) error {
			return p.server.options.Wanted.Packet(r.Context(), b, file, s, contract)
		})
		return
	}
	var at app.AsOf
	if err == nil {
		at, err = app.ParseAsOf(text, date.Day{})
	}
	p.write(w, r, "packet-as-of"+ending, err, func(b *bytes.Buffer, file string, s *app.Session) error {
		from, err := p.server.options.Environment()
		if err != nil {
			return err
		}
		old, err := app.OpenAsOf(r.Context(), s.Store.Path(), at, from)
		if err != nil {
			return err
		}
		return errors.Join(p.server.options.Wanted.Packet(r.Context(), b, file, old, contract), old.Close())
	})
}

// write makes a paper of the file as it stands, of which the seals hold, unless asking
// for it was a fault.
func (p *property) write(w http.ResponseWriter, r *http.Request, file string, fault error, do func(b *bytes.Buffer, file string, s *app.Session) error) {
	var b bytes.Buffer
	err := fault
	if err == nil {
		err = p.read(r.Context(), func(s *app.Session) error {
			if err := app.CheckSeals(r.Context(), s.Store); err != nil {
				return err
			}
			return do(&b, file, s)
		})
	}
	if err != nil {
		writeFault(w, err)
		return
	}
	writeFile(w, p.fileWord()+"-"+file, b.Bytes())
}

// firingWish says how a unit is burned, as it was typed: lines inside it, or hours in a
// row; neither takes away what was kept.
type firingWish struct {
	Unit  string `json:"unit"`
	Lines string `json:"lines"`
	Hours string `json:"hours"`
}

// keepFiring keeps how a unit is burned: windows, burn days and papers rest on it.
func keepFiring(ctx context.Context, s *app.Session, in firingWish, _ *http.Request) (any, error) {
	if in.Unit == "" {
		return nil, optionFault("unit", "the name of a unit", "it is missing")
	}
	o := app.CardOptions{Unit: in.Unit}
	whole := func(option, text string) (*int, error) {
		if text = strings.TrimSpace(text); text == "" {
			return nil, nil
		}
		n, err := strconv.Atoi(text)
		if err != nil {
			return nil, optionFault(option, "a whole number, or nothing", "%q is not one", text)
		}
		return &n, nil
	}
	var err error
	if o.Change.Lines, err = whole("lines", in.Lines); err != nil {
		return nil, err
	}
	if o.Change.Hours, err = whole("hours", in.Hours); err != nil {
		return nil, err
	}
	if o.Change.Lines != nil && o.Change.Hours != nil {
		return nil, optionFault("hours", "lines or hours: the ones follow from the others", "both are said")
	}
	o.Save = o.Change.Lines != nil || o.Change.Hours != nil
	o.Clear = !o.Save
	if _, err := s.Card(ctx, o); err != nil {
		return nil, err
	}
	words := fmt.Sprintf("kept how %s is burned; windows, burn days and papers rest on it from now on", in.Unit)
	if o.Clear {
		words = fmt.Sprintf("took away what was kept of how %s is burned", in.Unit)
	}
	return map[string]any{"words": []string{words}}, nil
}
