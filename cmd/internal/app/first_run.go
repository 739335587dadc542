package app

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"emberquilt/habitat"
	"emberquilt/habitat/county"
	"emberquilt/habitat/date"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/list"
	"emberquilt/habitat/preparation"
	"emberquilt/habitat/prescription"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/source"
	"emberquilt/habitat/template"
	"emberquilt/report/view"
	"emberquilt/schedule/rotation"
	"emberquilt/store"
)

// FirstRun gathers the answers of someone who has no property file yet: what is asked,
// what is taken where nothing is said, and what is refused. Whoever faces people shows
// its questions; nothing is stored before Begin.
type FirstRun struct {
	// ReadFile reads a file that an answer names; nil reads it from the disk.
	ReadFile func(name string) ([]byte, error)
	// Dates is the form of dates in files; typed ones are month first.
	Dates list.DateForm
	// Template is laid over the answers; nil for none.
	Template *template.Template

	property     habitat.Property
	place        view.FirstPlace
	clock        view.FirstClock
	shapeFile    string
	burnDays     *float64
	unburned     quantity.Share
	every        habitat.Interval
	prescription *prescription.Prescription
	lists        []*list.List
	names        []string
	named        map[string]int // their places in names, by their folded names
	hasPatches   bool
	contacts     []habitat.Contact
	weather      []weatherFile
	answered     map[string]bool
}

// NewFirstRun begins without any answer; name is the usual name of the property,
// such as oak-hill, which becomes Oak Hill.
func NewFirstRun(name string) *FirstRun {
	words := strings.FieldsFunc(name, func(r rune) bool { return r == '-' || r == '_' || r == ' ' })
	for i, w := range words {
		first, size := utf8.DecodeRuneInString(w)
		words[i] = string(unicode.ToUpper(first)) + w[size:]
	}
	name = strings.Join(words, " ")
	return &FirstRun{property: habitat.NewProperty(name), answered: map[string]bool{}}
}

// Questions gives what is asked, in order, with the usual answers that follow from
// the answers so far.
func (f *FirstRun) Questions() []Question {
	all := questions()
	for i := range all {
		q := &all[i]
		switch q.Key {
		case askName:
			q.Usual = f.property.Name
		case askClock:
			q.Usual, q.IsNeeded = f.property.Zone, f.property.Zone == ""
			if f.clock.Zone != "" {
				q.About += " Taken: " + f.clock.Words() + "."
			}
		case askPatch:
			if f.shapeFile != "" {
				q.Usual = f.shapeFile
			}
			q.IsNeeded = !f.hasPatches
		}
	}
	return all
}

// Answer takes the answer to a question. One to a question that repeats is added to
// those before it, any other replaces the one before. An empty answer takes the usual
// one. What cannot be used is refused, and changes nothing.
func (f *FirstRun) Answer(key, answer string) error {
	all := f.Questions()
	at := slices.IndexFunc(all, func(q Question) bool { return q.Key == key })
	if at < 0 {
		keys := make([]string, len(all))
		for i := range all {
			keys[i] = all[i].Key
		}
		return &source.Error{Position: source.Position{File: key}, Found: "is not a question", Accepts: strings.Join(keys, ", "), Hint: source.DidYouMean(key, keys)}
	}
	q := &all[at]
	if answer = strings.TrimSpace(answer); answer == "" {
		answer = q.Usual
	}
	if answer == "" {
		if q.IsNeeded {
			return &source.Error{Found: "there is no answer", Accepts: cmp.Or(q.Form, "an answer")}
		}
		return nil
	}
	before := *f
	if err := q.take(f, answer); err != nil {
		*f = before
		return err
	}
	f.answered[key] = true
	return nil
}

// usual takes the usual answers to all questions that are open.
func (f *FirstRun) usual() error {
	for _, q := range f.Questions() {
		if f.answered[q.Key] {
			continue
		}
		if err := f.Answer(q.Key, ""); err != nil {
			return &source.Error{Position: source.Position{File: q.Key}, Found: "there is no answer", Accepts: cmp.Or(q.Form, "an answer")}
		}
	}
	return nil
}

// FirstDraft is what a first run would store.
type FirstDraft struct {
	Property habitat.Property
	// Says tells in words what is taken and what will be done, a line each.
	Says []string
	run  *FirstRun
	new  habitat.Unit
	plan *list.Plan
}

// unburnedGround names the refuge that keeps a share of the ground unburned.
const unburnedGround = "all patches"

// Draft settles what the answers come to, with the usual answers to what is open.
// Nothing is stored.
func (f *FirstRun) Draft(from Environment) (*FirstDraft, error) {
	if err := f.usual(); err != nil {
		return nil, err
	}
	p := f.property
	if f.Template != nil {
		var err error
		if p, err = f.Template.Over(&p); err != nil {
			return nil, err
		}
	}
	p.Seasons = slices.Clone(p.Seasons)
	for i := range p.Seasons {
		p.Seasons[i].BurnDays = f.burnDays
	}
	d := &FirstDraft{run: f}
	d.new = habitat.Unit{BurnDays: 1, Interval: f.every, Prescription: f.prescription.Name}
	if f.unburned > 0 {
		p.Refuges = []habitat.Refuge{{Name: unburnedGround, MaxShare: 1 - f.unburned}}
		d.new.Refuge = unburnedGround
	}
	place, err := f.byShapes(&p)
	if err != nil {
		return nil, err
	}
	if err := p.Validate(); err != nil {
		return nil, unjoin(err)[0]
	}
	plan, err := list.MakePlan(&list.Current{Property: p}, f.lists, list.PlanSettings{Today: from.Today, NewUnit: &d.new})
	if err != nil {
		return nil, err
	}
	d.plan = plan
	says := view.FirstDraft{Place: place, Clock: f.clock, BurnDays: f.burnDays, Unburned: f.unburned,
		Places: plan.Count(list.Places, list.Added), Contacts: len(f.contacts), Prescription: f.prescription.Name, HasWeather: len(f.weather) > 0}
	if f.Template != nil {
		says.Template = f.Template.Words()
	}
	for _, l := range f.lists {
		if l.Drawn != nil {
			says.Drawn = append(says.Drawn, view.Drawn{File: l.File, Told: l.Told})
		}
	}
	for _, note := range plan.Notes {
		says.Notes = append(says.Notes, note.String())
	}
	patches(plan, &p, &says)
	says.Property = p
	d.Says = says.Lines()
	d.Property = p
	return d, nil
}

// byShapes holds the place that was said against where the patches lie. A county is
// made exact by the patches' shapes.
func (f *FirstRun) byShapes(p *habitat.Property) (view.FirstPlace, error) {
	for _, l := range f.lists {
		center, ok := l.Center()
		if !ok || !l.Holds(list.Units) {
			continue
		}
		miles := ground.MetersBetween(center, ground.Point{Lon: p.Longitude, Lat: p.Latitude}) / metersInMile
		near, off := county.Nearest(center.Lat, center.Lon)
		accepts := fmt.Sprintf("a place within %d miles of them: %.4f, %.4f", ForecastMiles, center.Lat, center.Lon)
		if off <= nearACounty {
			accepts += fmt.Sprintf(", or the county in which they lie, such as %s", near)
		}
		far := ForecastMiles
		if p.Place != "" {
			far = nearACounty
		}
		if miles > float64(far) {
			return f.place, &source.Error{
				Position: source.Position{File: askWhere},
				Found:    fmt.Sprintf("%s is %.0f miles from the patches of %s", cmp.Or(p.Place, fmt.Sprintf("%.4f, %.4f", p.Latitude, p.Longitude)), miles, l.File),
				Accepts:  accepts,
			}
		}
		if p.Place == "" {
			break
		}
		p.Latitude, p.Longitude = center.Lat, center.Lon
		return view.FirstPlace{Latitude: center.Lat, Longitude: center.Lon, County: p.Place, File: l.File}, nil
	}
	return f.place, nil
}

// patches gathers what the patches are, and sees to it that the largest of them may
// burn at all.
func patches(plan *list.Plan, p *habitat.Property, says *view.FirstDraft) {
	var largest, held quantity.Acres
	var name string
	burned := map[string]date.Day{}
	for _, c := range plan.Changes {
		if c.Burn != nil {
			burned[c.Burn.Unit] = c.Burn.On
		}
	}
	for _, c := range plan.Changes {
		u := c.Unit
		if u == nil {
			continue
		}
		says.Patches = append(says.Patches, view.FirstPatch{Unit: u, LastBurned: burned[u.ID], HasShape: c.Shape != nil})
		if u.Refuge == unburnedGround {
			held += u.Acres
			if u.Acres > largest {
				largest, name = u.Acres, u.ID
			}
		}
	}
	if len(p.Refuges) == 0 || held == 0 {
		return
	}
	share := quantity.Share(math.Ceil(float64(largest/held)*1000-1e-9) / 1000)
	if share > p.Refuges[0].MaxShare {
		p.Refuges[0].MaxShare = share
		says.Largest, says.LargestShare = name, share
	}
}

// Begun is a property that a first run has made.
type Begun struct {
	*Session
	// Plan is the first plan.
	Plan *StoredPlan
}

// firstSolve bounds the first plan's solve, so that the answer comes soon.
var firstSolve = rotation.Settings{TimeLimit: 20 * time.Second}

// Begin makes the property file, fills it and makes the first plan. All of it comes
// to be at once: where something is wrong, or the context ends, there is no file. The
// caller closes it.
func (d *FirstDraft) Begin(ctx context.Context, path string, from Environment) (b *Begun, err error) {
	part, err := store.Begin(path)
	if err != nil {
		return nil, err
	}
	defer part.Discard()
	s, err := Create(ctx, part.Path(), d.Property, from)
	if err != nil {
		return nil, err
	}
	if err := d.fill(ctx, s); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	kept, err := s.MakePlan(ctx, PlanOptions{Solver: firstSolve, Note: "first plan"})
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	if err := s.Close(); err != nil {
		return nil, err
	}
	if err := part.Publish(); err != nil {
		return nil, err
	}
	session, err := Open(ctx, path, ToChange, from)
	if err != nil {
		return nil, err
	}
	return &Begun{session, kept}, nil
}

func (d *FirstDraft) fill(ctx context.Context, s *Session) error {
	f := d.run
	_, err := s.Import(ctx, ImportOptions{Lists: f.lists, What: "the answers of the first run", NewUnit: &d.new})
	if err != nil {
		return err
	}
	if err := s.LoadPrescriptions(ctx, prescription.Starters()); err != nil {
		return err
	}
	if err := s.loadTemplate(ctx, f.Template); err != nil {
		return err
	}
	if len(f.contacts) > 0 {
		all := slices.Clone(f.contacts)
		for _, c := range preparation.Contacts() { // the usual roles that nobody named follow
			if c.Role != "neighbor" && !slices.ContainsFunc(f.contacts, func(o habitat.Contact) bool { return strings.EqualFold(o.Role, c.Role) }) {
				all = append(all, c)
			}
		}
		if err := s.ReplaceContacts(ctx, all); err != nil {
			return err
		}
	}
	record, err := f.record()
	if err != nil || record == nil {
		return err
	}
	_, err = s.LoadWeather(ctx, cmp.Or(record.Station.Name, "station"), record)
	return err
}
