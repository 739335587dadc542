package cli

import (
	"context"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/report/page"
	"emberquilt/report/pdf"
	"emberquilt/report/svgmap"
	"emberquilt/report/view"
)

// Widths of maps in pixels. Those of more than mostOnPhones units are not drawn a
// second time for a phone.
const (
	mapWidth     = 1200
	pageWidth    = 900
	unitsWidth   = 640
	phoneWidth   = 360
	mostOnPhones = 400
)

// pageMaps draws maps for a page.
func pageMaps(maps []*view.Map) ([]page.Map, error) {
	var all []page.Map
	for i, m := range maps {
		id := [...]string{"first", "years"}[min(i, 1)]
		one := page.Map{Title: m.Caption}
		var err error
		if one.HTML, err = (&svgmap.Sheet{Map: *m, ID: id, Width: pageWidth}).HTML(); err != nil {
			return nil, err
		}
		if len(m.Units) <= mostOnPhones {
			if one.Narrow, err = (&svgmap.Sheet{Map: *m, ID: id + "narrow", Width: phoneWidth, Columns: 1}).HTML(); err != nil {
				return nil, err
			}
		}
		all = append(all, one)
	}
	return all, nil
}

// burnedMap draws the as-burned map, two years side by side; nil where there is nothing
// to draw.
func burnedMap(v *view.AsBurned) (*page.Map, error) {
	if v == nil || v.Map == nil {
		return nil, nil
	}
	return markedMap(v.Map, "burned", pageWidth, 2)
}

// contractMap draws the map of a contract's units; nil without one.
func contractMap(v *view.ContractMap) (*page.Map, error) {
	if v == nil {
		return nil, nil
	}
	return markedMap(v.Map, "units", unitsWidth, 1)
}

// markedMap draws a map with marks for a page, and once more for a phone.
func markedMap(m *view.Map, id string, width float64, columns int) (*page.Map, error) {
	one := &page.Map{Title: m.Caption}
	var err error
	if one.HTML, err = (&svgmap.Sheet{Map: *m, ID: id, Width: width, Columns: columns}).HTML(); err != nil {
		return nil, err
	}
	if len(m.Units) <= mostOnPhones {
		one.Narrow, err = (&svgmap.Sheet{Map: *m, ID: id + "narrow", Width: phoneWidth, Columns: 1}).HTML()
	}
	return one, err
}

// sheetWidth is that of a season sheet's map in pixels: small, so that its words are as
// large as the others when it is printed.
const sheetWidth = 500

// sheetMaps draws maps for a season sheet.
func sheetMaps(maps []*view.Map) ([]page.Map, error) {
	var all []page.Map
	for _, m := range maps {
		one := page.Map{Title: m.Caption}
		var err error
		if one.HTML, err = (&svgmap.Sheet{Map: *m, ID: "season", Width: sheetWidth, Columns: 1}).HTML(); err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	return all, nil
}

func mapPaper() paper {
	return paper{"map.svg", "a map of every plan year: what burns, what rests, and how old it is", func(_ context.Context, w io.Writer, c *app.Contents) error {
		drawn, err := c.Map(0)
		if err != nil {
			return err
		}
		return signed(w, (&svgmap.Sheet{Map: *drawn, ID: "map", Width: mapWidth}).Draw)
	}}
}

// mapOptions are those of the map command.
type mapOptions struct {
	plan  int
	year  int
	width float64
	out   string
	// field is for a map that a phone in the field places itself on.
	field bool
}

func (a *terminal) mapCommand() *cobra.Command {
	var o mapOptions
	cmd := &cobra.Command{
		Use:   "map [PLAN]",
		Short: "Draw the plan as a map (SVG; PDF and KMZ for the field)",
		Long: withStatus(`Map draws each year of a plan: which units burn, in which season, which rest, and
how old they are; with sensitive places, standing breaks, scale bar and north arrow. The map
of one year (--year) shows the breaks to make too. It needs units with shapes; seasons and
ages differ by pattern and tone, so that a print in gray says the same.

With --field it writes a PDF whose pages know where on earth they are, the whole ground
first and then tiles of it, with units, breaks and places, and a KMZ of the same beside
it: a phone that opens either shows its own place on it, without a network. Personal data
in these two: places such as houses. They are written so that only you can read them.

`+caution, statusBadInput),
		Example: "  emberquilt map --year 2027 -o map-2027.svg\n  emberquilt map --width 360 -o phone.svg",
		GroupID: groupPaper,
		Args:    argsBetween(0, "PLAN"),
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if o.plan, err = planNumber(args, 0); err != nil {
				return err
			}
			return a.runMap(cmd.Context(), o)
		},
	}
	cmd.Flags().StringVarP(&o.out, "output", "o", mapPaper().File, "write to `FILE`, - for standard output")
	cmd.Flags().BoolVar(&o.field, "field", false, "write a map for the field (PDF), and a KMZ beside it")
	cmd.Flags().IntVar(&o.year, "year", 0, "one program `YEAR` alone, large (default: all of the plan)")
	cmd.Flags().Float64Var(&o.width, "width", mapWidth, "width of the drawing in `PIXELS`; 360 suits a phone")
	return cmd
}

func (a *terminal) runMap(ctx context.Context, o mapOptions) error {
	if o.field {
		return a.runFieldMap(ctx, o)
	}
	if err := checkEnding(o.out, ".svg"); err != nil {
		return err
	}
	if !(o.width >= 240 && o.width <= 4000) {
		return flagError("width", "240 to 4000 pixels", "%v is not a width", o.width)
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		drawn, err := s.Map(ctx, app.MapOptions{Plan: o.plan, Year: date.ProgramYear(o.year)})
		if err != nil {
			return err
		}
		sheet := &svgmap.Sheet{Map: *drawn, ID: "map", Width: o.width}
		return a.writePaper(output{o.out, func(w io.Writer) error { return signed(w, sheet.Draw) }}, mapPaper().About)
	})
}

// fieldFile is where a field map goes that names no file.
const fieldFile = "field-map.pdf"

// writeField writes the map for the field in the form that the file's ending asks for.
func writeField(w io.Writer, file string, field *app.FieldMap) error {
	if strings.EqualFold(filepath.Ext(file), ".kmz") {
		return geofile.WriteKMZ(w, field.Units, field.Places, field.Lines)
	}
	return pdf.WriteField(w, field.Map, field.Stamp)
}

func (a *terminal) runFieldMap(ctx context.Context, o mapOptions) error {
	if o.out == mapPaper().File {
		o.out = fieldFile
	}
	if ending := filepath.Ext(o.out); !strings.EqualFold(ending, ".pdf") {
		return flagError("output", "a name that ends in .pdf", "%s is not a name of a field map", quote(o.out))
	}
	return a.session(ctx, app.ToRead, func(s *app.Session) error {
		field, err := s.FieldMap(ctx, app.MapOptions{Plan: o.plan, Year: date.ProgramYear(o.year)})
		if err != nil {
			return err
		}
		packed := strings.TrimSuffix(o.out, filepath.Ext(o.out)) + ".kmz"
		err = a.writePrivate(
			output{o.out, func(w io.Writer) error { return writeField(w, o.out, field) }},
			output{packed, func(w io.Writer) error { return writeField(w, packed, field) }},
		)
		if err != nil {
			return err
		}
		return a.say("%s and %s: a map of %s for the field; a planning aid, neither a permit nor a decision to burn", o.out, packed, strings.ToLower(field.Map.Caption))
	})
}
