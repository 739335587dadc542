package page

import (
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"

	"emberquilt/habitat"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

//go:embed *.tmpl
var files embed.FS

// templates gives every page; parsing fails only where this package is wrong. Most
// commands write none: they are parsed when one is.
var templates = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("").Funcs(functions).ParseFS(files, "*.tmpl"))
})

// functions are what the templates call.
var functions = template.FuncMap{
	"plain":    func(text string) string { return view.Cut(view.Plain(text), 1000) },
	"name":     func(text string) string { return view.Cut(view.Plain(text), 120) },
	"acres":    func(a quantity.Acres) string { return a.String() },
	"whole":    func(a quantity.Acres) string { return quantity.Group(float64(a), 0) },
	"tenth":    func(v quantity.AcreYears) string { return quantity.Group(float64(v), 1) },
	"proven":   func(v quantity.AcreYears, decimals int) string { return quantity.Group(float64(v), decimals) },
	"number":   view.Number,
	"percent":  view.Percent,
	"share":    func(part, all int) float64 { return float64(part) / float64(max(all, 1)) },
	"date":     func(d date.Day) string { return d.Words() },
	"shortday": view.ShortDay,
	"deref": func(v *float64) float64 {
		if v == nil {
			return 0
		}
		return *v
	},
	"every": func(interval string) string {
		if interval == "1" {
			return "every year"
		}
		return "every " + interval + " years"
	},
	"days":        view.BurnDays,
	"breakwidths": func() []view.BreakWidth { return view.BreakWidths(view.FuelHeight) },
	"breakacres": func(length, width quantity.Feet) string {
		return quantity.Group(float64(quantity.BreakAcres(length, width)), 1)
	},
	"width":  barWidth,
	"plural": func(n int, one string) string { return quantity.Count(n, one) },
	"season": func(keys []view.SeasonKey, name string) int {
		for i, k := range keys {
			if k.Name == name {
				return i % len(seasonColors)
			}
		}
		return 0
	},
	"hundredth": func(share *float64) string {
		if share == nil {
			return "–"
		}
		return fmt.Sprintf("%.0f", 100**share)
	},
	"group":      func(v float64) string { return quantity.Group(v, 0) },
	"grouptenth": func(v float64) string { return quantity.Group(v, 1) },
	"hundred":    func(share float64) float64 { return 100 * share },
	"bychance":   view.ByChance,
	"limitnote":  func() string { return view.LimitNote },
	"seasonyear": habitat.SeasonWords,
	"shortfall":  func() string { return view.ShortfallLine },
	"caution":    func() string { return view.CautionLine },
	"lines":      func(n int) []struct{} { return make([]struct{}, n) },
	"last": func(years []date.ProgramYear) date.ProgramYear {
		if len(years) == 0 {
			return 0
		}
		return years[len(years)-1]
	},
}

// barWidth gives the length of a bar in percent, 0 to 100.
func barWidth(used float64, most *float64) string {
	if most == nil {
		return "0"
	}
	share := 1.0
	if *most > 0 {
		share = min(1, max(0, used / *most))
	}
	return fmt.Sprintf("%.1f", 100*share)
}

// Map is one drawing of the ground.
type Map struct {
	Title string
	// HTML is a drawing that html/template wrote, such as that of report/svgmap;
	// it stands in the page itself. Without it SVG, a whole document, is shown as
	// an image.
	HTML template.HTML
	// Narrow is the same drawing for a phone's width; it may be empty.
	Narrow template.HTML
	SVG    []byte
}

// URL gives the drawing as an image that can run nothing: scripts in an SVG
// shown by an img element never start, and base64 keeps its text inert.
func (m Map) URL() template.URL {
	return template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString(m.SVG))
}

// frame is what every page has.
type frame struct {
	Title string
	Stamp view.Stamp
	Style template.CSS
	// Library and Drawing are our own files; no other text is ever called script.
	Library, Drawing template.JS
	Charts           []Chart
}

func newFrame(title string, stamp view.Stamp, drawn []Chart) frame {
	f := frame{Title: title, Stamp: stamp, Style: template.CSS(style), Charts: drawn}
	if len(drawn) > 0 {
		f.Library, f.Drawing = template.JS(library), template.JS(drawing)
	}
	return f
}

// write runs a template into memory first, so that a failure leaves no half page.
func write(w io.Writer, name string, data any) error {
	var b strings.Builder
	if err := templates().ExecuteTemplate(&b, name, data); err != nil {
		return fmt.Errorf("write page %s: %w", name, err)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
