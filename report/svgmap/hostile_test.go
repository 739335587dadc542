package svgmap

import (
	"encoding/base64"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"emberquilt/habitat/ground"
	"emberquilt/report/view"
)

func box(west, south, size float64) ground.Shape {
	return ground.Shape{Polygons: []ground.Polygon{{Outer: ground.Ring{
		{Lon: west, Lat: south}, {Lon: west + size, Lat: south}, {Lon: west + size, Lat: south + size}, {Lon: west, Lat: south + size}}}}}
}

var hostileNames = []string{"</script><script>alert(1)</script>", `"onload="alert(1)`, "__f__alert(1)__f__", "=1+1", "line\nbreak",
	"\u202eright to left", strings.Repeat("long ", 40), "<img src=x onerror=alert(1)>", "]]>", "\x1b[31m", "\xff\xfe", "&lt;", "草の名前", "</text></svg>", ""}

func hostileSheet() *Sheet {
	s := &Sheet{ID: `"><script>`, Map: view.Map{Title: hostileNames[0], Description: hostileNames[1],
		Seasons: []string{hostileNames[7], "a", "b", "c", "d", "e", "f"}, Classes: []string{hostileNames[2], "old"}}}
	m := view.MapYear{Title: hostileNames[7], Note: hostileNames[1]}
	for i, name := range hostileNames {
		s.Units = append(s.Units, view.MapUnit{Unit: name, Shape: box(-96+float64(i%4)*0.01, 39+float64(i/4)*0.01, 0.009)})
		s.Places = append(s.Places, ground.Place{Name: name, Points: []ground.Point{{Lon: -96 + float64(i)*0.02, Lat: 39.02}}})
		m.States = append(m.States, view.MapState{Burns: i%2 == 0, Season: i/2 - 1, Class: i - 5, Detail: name, Overdue: true})
	}
	s.Years = []view.MapYear{m}
	return s
}

func TestHostileNamesAreInert(t *testing.T) {
	text := draw(t, hostileSheet())
	for _, bad := range []string{"<script", "<img", "\x1b", "\u202e", "\xff", "\ufffe"} {
		if strings.Contains(text, bad) {
			t.Errorf("%q got through", bad)
		}
	}
	if strings.Count(text, "<svg") != 1 || strings.Count(text, "</svg>") != 1 {
		t.Error("a name ends the drawing")
	}
}

func TestOddSheets(t *testing.T) {
	for name, s := range map[string]*Sheet{
		"nothing":       {},
		"no map":        {Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: box(-96, 39, 0.01)}}}},
		"no state":      {Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: box(-96, 39, 0.01)}}, Years: []view.MapYear{{}}}},
		"empty shape":   {Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: ground.Shape{}}}, Years: []view.MapYear{{States: []view.MapState{{Burns: true}}}}}},
		"tiny":          {Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: box(-96, 39, 1e-7)}}, Years: []view.MapYear{{}}}},
		"huge":          {Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: box(-120, 25, 30)}}, Years: []view.MapYear{{}}}},
		"narrow":        {Width: 1, Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: box(-96, 39, 0.01)}}, Years: []view.MapYear{{}, {}, {}}}},
		"far apart":     {Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: box(-96, 39, 0.001)}, {Unit: "b", Shape: box(-95, 39, 0.001)}}, Years: []view.MapYear{{}}}},
		"many columns":  {Columns: 50, Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: box(-96, 39, 0.01)}}, Years: make([]view.MapYear, 7)}},
		"date line":     {Map: view.Map{Units: []view.MapUnit{{Unit: "a", Shape: box(179.99, 52, 0.005)}, {Unit: "b", Shape: box(-179.99, 52, 0.005)}}, Years: []view.MapYear{{}}}},
		"place without": {Map: view.Map{Places: []ground.Place{{Name: "nowhere"}}, Units: []view.MapUnit{{Unit: "a", Shape: box(-96, 39, 0.01)}}, Years: []view.MapYear{{}}}},
	} {
		t.Run(name, func(t *testing.T) {
			if text := draw(t, s); !strings.HasSuffix(strings.TrimSpace(text), "</svg>") {
				t.Error("not whole")
			}
		})
	}
}

// Thousands of units are a map without names, and a word about it.
func TestManyUnits(t *testing.T) {
	s := &Sheet{Map: view.Map{Classes: []string{"young"}}}
	m := view.MapYear{Title: "2027", Planned: []ground.Line{{{Lon: -96, Lat: 39}, {Lon: -95.9, Lat: 39.1}}}}
	for i := range 3000 {
		s.Units = append(s.Units, view.MapUnit{Unit: strings.Repeat("x", 5), Shape: box(-96+float64(i%60)*0.01, 39+float64(i/60)*0.01, 0.01)})
		m.States = append(m.States, view.MapState{Class: 0})
	}
	s.Years = []view.MapYear{m}
	text := draw(t, s)
	for _, want := range []string{"The names of 3,000 small units are left out", "break to make"} {
		if !strings.Contains(text, want) {
			t.Errorf("the drawing lacks %q", want)
		}
	}
	if len(text) > 2<<20 {
		t.Errorf("%d bytes", len(text))
	}
}

// The drawing in a real browser, with the network off, on a page that forbids
// everything: no script runs and nothing is asked for.
func TestDrawingInABrowser(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed (Debian package chromium)")
	}
	if testing.Short() {
		t.Skip("takes seconds")
	}
	fragment, err := hostileSheet().HTML()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	page := filepath.Join(dir, "page.html")
	text := `<!DOCTYPE html><meta charset="utf-8"><title>quiet</title><body><script>window.alert=function(){document.title="ran"}</script>` + string(fragment) +
		`<img alt="" src="data:image/svg+xml;base64,` + base64.StdEncoding.EncodeToString([]byte(fragment)) + `"><p id="end"></p>`
	if err := os.WriteFile(page, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+dir, "--dump-dom", "file://"+page).Output()
	if err != nil {
		t.Skipf("chromium does not run here: %v", err)
	}
	dom := string(out)
	if !strings.Contains(dom, "<title>quiet</title>") || strings.Contains(dom, "<title>ran") {
		t.Error("a name ran as script")
	}
	if strings.Count(dom, "<script") != 1 || !strings.Contains(dom, `id="end"`) {
		t.Error("a name became markup")
	}
}
