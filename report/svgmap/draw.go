package svgmap

import (
	"bytes"
	_ "embed" // for the template
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"
	"sync"

	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

//go:embed sheet.tmpl
var sheetText string

var sheetTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("sheet").Funcs(template.FuncMap{
		"n": func(v float64) string { return string(appendNumber(nil, v)) },
	}).Parse(sheetText))
})

// Draw writes the sheet as an SVG file.
func (s *Sheet) Draw(w io.Writer) error {
	var out bytes.Buffer
	if err := sheetTemplate().Execute(&out, newDrawing(s)); err != nil {
		return fmt.Errorf("draw map: %w", err)
	}
	_, err := w.Write(out.Bytes())
	return err
}

// HTML gives the sheet as a fragment for a page. It is safe to put into one:
// html/template wrote it.
func (s *Sheet) HTML() (template.HTML, error) {
	var out bytes.Buffer
	err := s.Draw(&out)
	return template.HTML(out.String()), err //nolint:gosec // see above
}

// drawing is what the template sets out; all numbers are pixels.
type drawing struct {
	ID                 string
	Width, Height      float64
	Title, Description string
	MapWidth           float64
	MapHeight          float64
	Paths              []unitPath
	Seasons            []seasonPattern
	Marks              []markPattern
	Panels             []panel
	Standing           string
	Places             []placeMark
	Legend             []legendItem
	Key                []keyLine
	Scale              scaleBars
	NorthX, NorthY     float64
	// offMap names the places off the map, each with the letter that stands for it
	// at the edge.
	offMap []string
	// left counts units without a name on the map or in the key.
	left int
}

// roomForPlaces is the width below which a map has no room for the names of
// places off it.
const roomForPlaces = 500

type unitPath struct {
	ID string
	D  string
}

// seasonPattern is the hatching of one season.
type seasonPattern struct {
	ID   string
	Fill string
	Kind int
}

// markPattern is the pattern of a mark.
type markPattern struct{ ID, Pattern string }

type panel struct {
	X, Y        float64
	Title, Note string
	// Below is how far the note stands below the title; 0 is beside it.
	Below    float64
	Planned  string
	Units    []unitMark
	Outlines []outlineMark
	Labels   []label
}

// TitleY is where the title stands over its note.
func (p panel) TitleY() float64 { return -8 - p.Below }

type unitMark struct {
	Path string
	// Fill is empty for white, which most units of an as-burned map are.
	Fill    string
	Title   string
	Overdue bool
}

// outlineMark is an area over the units.
type outlineMark struct{ D, Fill, Title string }

type placeMark struct {
	X, Y       float64
	Text       string
	TextX      float64
	Anchor     string
	D          string
	Line       bool
	Off        bool
	OffDegrees float64
}

type legendItem struct {
	X, Y float64
	Kind string // unit, overdue, place, standing, planned
	Fill string
	Text string
}

type keyLine struct {
	X, Y float64
	Text string
}

type scaleBars struct {
	X, Y            float64
	Feet, Miles     float64 // lengths in pixels
	FeetOf, MilesOf string
}

// fills of seasons: dark enough for light hatching and light letters. The first
// five are the program book's.
var seasonFills = []string{"#9c3d12", "#55662b", "#2f4858", "#8a6508", "#7d1f2c", "#6b4a2b"}

// classFill gives the tone of an age class: the older the darker.
func classFill(class, classes int) string {
	if class < 0 {
		return "#ffffff"
	}
	light, dark := [3]float64{0xf3, 0xec, 0xd8}, [3]float64{0xb3, 0x9d, 0x66}
	part := 0.0
	if classes > 1 {
		part = math.Min(1, float64(class)/float64(classes-1))
	}
	var v [3]int
	for i := range v {
		v[i] = int(math.Round(light[i] + part*(dark[i]-light[i])))
	}
	return fmt.Sprintf("#%02x%02x%02x", v[0], v[1], v[2])
}

// plainID keeps letters and digits.
func plainID(text string) string {
	id := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, text)
	return "m" + id
}

func newDrawing(s *Sheet) *drawing {
	d := &drawing{ID: plainID(s.ID), Width: s.width(), Title: shortText(s.Title, 200), Description: shortText(s.Description, 1000)}
	columns := s.columns()
	d.MapWidth = (d.Width - 2*margin - float64(columns-1)*gutter) / float64(columns)
	f := newFrame(s, d.MapWidth)
	d.MapHeight = f.height
	for i, u := range s.Units {
		d.Paths = append(d.Paths, unitPath{fmt.Sprintf("%su%d", d.ID, i), f.shapePath(u.Shape)})
	}
	for i := range s.Seasons {
		d.Seasons = append(d.Seasons, seasonPattern{fmt.Sprintf("%ss%d", d.ID, i), seasonFills[i%len(seasonFills)], i % 6})
	}
	for i, mark := range s.Marks {
		d.Marks = append(d.Marks, markPattern{fmt.Sprintf("%sk%d", d.ID, i+1), string(mark.Pattern)})
	}
	d.Standing = linesPath(f, s.Standing)
	d.Places = d.places(s, f)
	y := float64(margin)
	if d.Title != "" {
		y += 30
	}
	style := labelStyle{13, 8}
	if (columns > 1 || d.MapWidth < 500) && len(s.Marks) == 0 {
		style = labelStyle{11, 7.5}
	}
	numbered := make(map[int]int)
	head, below := 0.0, 0.0
	for _, m := range s.Years {
		if m.Title != "" || m.Note != "" {
			head = max(head, headHeight)
		}
		// A note that does not fit beside its title stands below it.
		if m.Title != "" && boldWidth(shortText(m.Title, longestTitle), 15)+8+textWidth(shortText(m.Note, longestNote), 12) > d.MapWidth {
			below = noteHeight
		}
	}
	head += below
	spots := make([]place, len(s.Units))
	for i, u := range s.Units {
		spots[i], _ = newPlace(f, u.Shape)
	}
	for k, m := range s.Years {
		column, row := k%columns, k/columns
		p := panel{
			X:     margin + float64(column)*(d.MapWidth+gutter),
			Y:     y + head + float64(row)*(d.MapHeight+head+gutter),
			Title: shortText(m.Title, longestTitle), Note: shortText(m.Note, longestNote), Planned: linesPath(f, m.Planned), Below: below,
		}
		d.fillPanel(s, &p, m, spots, style, numbered, len(s.Years) == 1)
		for _, o := range m.Outlines {
			p.Outlines = append(p.Outlines, outlineMark{f.shapePath(o.Shape), d.mark(o.Mark), shortText(o.Title, 200)})
		}
		d.Panels = append(d.Panels, p)
	}
	rows := (len(s.Years) + columns - 1) / columns
	y += float64(rows)*(d.MapHeight+head+gutter) + 2
	y = d.setScale(f, y)
	y = d.setLegend(s, y)
	y = d.setKey(s, numbered, y)
	d.Height = y + margin
	return d
}

// Measures of the words above a map: pixels, and letters of the longest.
const (
	headHeight   = 26
	noteHeight   = 15
	longestTitle = 60
	longestNote  = 80
)

// stateOf gives the state of a unit; one that is not said rests at an age that is
// not known.
func stateOf(m *view.MapYear, i int) view.MapState {
	if i < len(m.States) {
		return m.States[i]
	}
	return view.MapState{Season: -1, Class: -1}
}

func (d *drawing) fillPanel(s *Sheet, p *panel, m view.MapYear, spots []place, style labelStyle, numbered map[int]int, single bool) {
	// Those that burn are drawn last, so that their edges lie on top.
	for _, burning := range []bool{false, true} {
		for i, u := range s.Units {
			state := stateOf(&m, i)
			if state.Burns != burning || u.Shape.IsEmpty() {
				continue
			}
			fill := d.fill(s, state)
			if fill == classFill(-1, 0) {
				fill = ""
			}
			p.Units = append(p.Units, unitMark{Path: d.Paths[i].ID, Fill: fill, Title: s.says(i, state), Overdue: state.Overdue && !state.Burns})
		}
	}
	var missing []int
	for i, u := range s.Units {
		if u.Shape.IsEmpty() {
			continue
		}
		state := stateOf(&m, i)
		name := shortText(u.Unit, longestName)
		detail := shortText(state.Detail, longestDetail)
		l, ok := spots[i].name(name, detail, style)
		// Of a single map with marks the key says what the unit has no room for.
		if name == "" || single && len(s.Marks) > 0 && ok && detail != "" && l.Lines[len(l.Lines)-1].Text != detail {
			ok = false
		}
		if ok {
			l.Light = state.Burns
			p.Labels = append(p.Labels, l)
		} else if name != "" {
			missing = append(missing, i)
		}
	}
	if !single {
		return
	}
	if len(missing) > mostNumbers {
		d.left = len(missing)
		return
	}
	for k, i := range missing {
		numbered[i] = k + 1
		l := stacked(spots[i].at, []string{fmt.Sprint(k + 1)}, 8)
		l.Light = stateOf(&m, i).Burns
		p.Labels = append(p.Labels, l)
	}
}

// mostNumbers is how many units get a number instead of a name; more make a
// list that nobody reads.
const mostNumbers = 60

// fill gives the paint of a unit.
func (d *drawing) fill(s *Sheet, state view.MapState) string {
	switch {
	case len(s.Marks) > 0:
		return d.mark(state.Mark)
	case state.Burns && state.Season >= 0 && state.Season < len(d.Seasons):
		return "url(#" + d.Seasons[state.Season].ID + ")"
	case state.Burns:
		return "#4a4438"
	case state.Class >= len(s.Classes):
		return classFill(-1, 0)
	}
	return classFill(state.Class, len(s.Classes))
}

// mark gives the paint of a mark by its number; white for none.
func (d *drawing) mark(number int) string {
	if number < 1 || number > len(d.Marks) {
		return classFill(-1, 0)
	}
	return "url(#" + d.Marks[number-1].ID + ")"
}

// says tells a unit's state in words.
func (s *Sheet) says(i int, state view.MapState) string {
	name := shortText(s.Units[i].Unit, 200)
	if name == "" {
		name = "unit without a name"
	}
	if len(s.Marks) > 0 {
		text := name
		if mark, ok := s.MarkOf(state.Mark); ok {
			text += ": " + mark.Text
		}
		if state.Detail != "" {
			text += ": " + shortText(state.Detail, 60)
		}
		return text
	}
	text, burns := name+": rests", ": burns"
	if state.Done {
		burns = ": has burned"
	}
	switch {
	case state.Burns && state.Season >= 0 && state.Season < len(s.Seasons):
		text = name + burns + ", " + shortText(s.Seasons[state.Season], 60)
	case state.Burns:
		text = name + burns
	case state.Class >= 0 && state.Class < len(s.Classes):
		text += ", " + shortText(s.Classes[state.Class], 60)
	}
	if state.Detail != "" && !state.Done {
		text += ", " + shortText(state.Detail, 60)
	}
	if state.Overdue {
		text += ", overdue"
	}
	return text + ", " + s.Units[i].Shape.Acres().String() + " acres"
}

func linesPath(f *frame, lines []ground.Line) string {
	var out []byte
	for _, l := range lines {
		if len(l) > 1 {
			out = f.path(out, l, false)
		}
	}
	return string(out)
}

// places sets the marks of sensitive places; those outside the map become
// pointers at its edge.
func (d *drawing) places(s *Sheet, f *frame) []placeMark {
	var marks []placeMark
	for _, place := range s.Places {
		center, ok := f.anchor(place)
		if !ok {
			continue
		}
		at := f.at(center)
		mark := placeMark{X: at.x, Y: at.y, Text: shortText(place.Name, longestName)}
		if !f.holds(at) {
			mark.Off = true
			mark.X, mark.Y, mark.OffDegrees = f.edge(at)
			for _, other := range marks { // one below the other
				if other.Off && math.Abs(other.X-mark.X) < 30 && math.Abs(other.Y-mark.Y) < 13 {
					mark.Y = math.Min(other.Y+13, f.height-9)
				}
			}
			if miles, ok := nearestMiles(s.Units, place); ok {
				mark.Text += ", " + miles
			}
			// Names at the edge would lie on units: a letter stands for each.
			letter := placeLetter(len(d.offMap))
			d.offMap = append(d.offMap, letter+" "+mark.Text)
			mark.Text = letter
		} else {
			var path []byte
			for _, l := range place.Lines {
				path, mark.Line = f.path(path, l, false), true
			}
			mark.D = f.shapePath(place.Shape) + string(path)
		}
		mark.Anchor, mark.TextX = "start", 9
		if mark.X+9+boldWidth(mark.Text, 10) > f.width {
			mark.Anchor, mark.TextX = "end", -9
		}
		if f.width < roomForPlaces && len(s.Years) > 1 && !mark.Off {
			mark.Text = ""
		}
		marks = append(marks, mark)
	}
	return marks
}

// placeLetter gives A to Z, then A2 to Z2 and so on.
func placeLetter(i int) string {
	letter := string(rune('A' + i%26))
	if i >= 26 {
		letter += strconv.Itoa(i/26 + 1)
	}
	return letter
}

// edge gives where the way from the middle of the map to a place outside crosses
// its edge, and which way it points.
func (f *frame) edge(to point) (x, y, degrees float64) {
	const inset = 9
	middle := point{f.width / 2, f.height / 2}
	dx, dy := to.x-middle.x, to.y-middle.y
	reach := math.Min((f.width/2-inset)/math.Max(math.Abs(dx), 1e-9), (f.height/2-inset)/math.Max(math.Abs(dy), 1e-9))
	return middle.x + dx*reach, middle.y + dy*reach, math.Atan2(dx, -dy) * 180 / math.Pi
}

// nearestMiles gives the distance from the nearest unit to a place.
func nearestMiles(units []view.MapUnit, place ground.Place) (string, bool) {
	best, found := quantity.Feet(math.Inf(1)), false
	for _, u := range units {
		if away, ok := u.Shape.Away(place); ok && away.Distance < best {
			best, found = away.Distance, true
		}
	}
	return quantity.Group(float64(best)/quantity.FeetPerMile, 1) + " mi", found
}
