package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/report/svgmap"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// api registers what screens ask.
func (s *Server) api(mux *http.ServeMux) {
	mux.HandleFunc("GET /api/properties", s.listProperties)
	mux.HandleFunc("GET /api/events", s.hub.serve)
	s.reads(mux, "", (*property).head)
	s.reads(mux, "season", (*property).season)
	s.reads(mux, "plan", (*property).plan)
	s.reads(mux, "plans", (*property).plans)
	s.reads(mux, "beside", (*property).beside)
	s.reads(mux, "map", (*property).drawMap)
	s.reads(mux, "ground", (*property).ground)
	s.reads(mux, "units", (*property).units)
	s.reads(mux, "burns", (*property).burns)
	s.reads(mux, "card", (*property).card)
	s.reads(mux, "papers", (*property).papers)
	s.reads(mux, "rehearsal", (*property).rehearsing)
	mux.HandleFunc("GET /api/p/{id}/why", s.within((*property).why))
	mux.HandleFunc("GET /api/p/{id}/burns/{number}/history", s.within((*property).history))
	mux.HandleFunc("GET /api/p/{id}/papers/{file}", s.within((*property).paper))
	writes(s, mux, "tasks", noteTask)
	writes(s, mux, "burns", recordBurn)
	writes(s, mux, "burns/{number}", correctBurn)
	writes(s, mux, "burns/{number}/withdraw", withdrawBurn)
	mux.HandleFunc("POST /api/p/{id}/import", s.within((*property).takeIn))
	mux.HandleFunc("GET /api/clients", s.clients)
	mux.HandleFunc("POST /api/p/{id}/plan", s.within((*property).makePlan))
	mux.HandleFunc("POST /api/p/{id}/rehearsal", s.within((*property).rehearse))
	mux.HandleFunc("POST /api/p/{id}/rehearsal/stop", s.within((*property).stopRehearsal))
	s.editing(mux)
	s.firstRun(mux)
	s.packets(mux)
	s.upkeep(mux)
	s.weatherScreen(mux)
	s.whatIf(mux)
	s.contractScreen(mux)
	s.handingOver(mux)
	s.agenda(mux)
	s.wanted(mux)
	mux.HandleFunc("/api/", func(w http.ResponseWriter, r *http.Request) {
		writeFault(w, &unknownError{fmt.Sprintf("nothing of the page is at %s", r.URL.Path)})
	})
}

// isImport reports whether a request may bring files.
func isImport(path string) bool {
	if path == firstFiles {
		return true
	}
	_, what, isOfOne := strings.Cut(strings.TrimPrefix(path, "/api/p/"), "/")
	return strings.HasPrefix(path, "/api/p/") && isOfOne && slices.Contains([]string{"import", "weather", "prescriptions", "forecast", "units/outlines", "received", "seals"}, what)
}

// within finds the property that a request names.
func (s *Server) within(do func(*property, http.ResponseWriter, *http.Request)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		p, err := s.find(r.PathValue("id"))
		if err != nil {
			writeFault(w, err)
			return
		}
		do(p, w, r)
	}
}

// reading is one question to a property: the values of its address, and the answer.
type reading func(p *property, ctx context.Context, s *app.Session, q question) (any, error)

// question holds the values of an address.
type question struct{ r *http.Request }

func (q question) text(name string) string { return q.r.URL.Query().Get(name) }

// number gives a whole number, 0 where none is named.
func (q question) number(name string) (int, error) {
	text := q.text(name)
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 {
		return 0, &badRequestError{fmt.Sprintf("%s: %q is not a whole number; accepts 1 or more", name, text)}
	}
	return n, nil
}

// reads registers a question whose answer is kept until the data change.
func (s *Server) reads(mux *http.ServeMux, name string, ask reading) {
	path := "GET /api/p/{id}"
	if name != "" {
		path += "/" + name
	}
	mux.HandleFunc(path, s.within(func(p *property, w http.ResponseWriter, r *http.Request) {
		p.answer(w, r, name+"?"+r.URL.RawQuery, func(session *app.Session) (any, error) {
			return ask(p, r.Context(), session, question{r})
		})
	}))
}

// listed is a property in the list of those that are served.
type listed struct {
	ID   string `json:"id"`
	File string `json:"file"`
}

// listProperties says what is served, and nothing of what the files hold.
func (s *Server) listProperties(w http.ResponseWriter, r *http.Request) {
	all := []listed{}
	for _, path := range s.files() {
		all = append(all, listed{propertyID(path), propertyID(path) + extension})
	}
	writeJSON(w, http.StatusOK, map[string]any{"properties": all, "served": s.served(), "is_folder": s.options.Folder != "", "by": s.by(), "names": s.options.KeepName != nil, "cautions": view.Cautions()})
}

// seasonHead is a season of a property.
type seasonHead struct {
	Name  string `json:"name"`
	Dates string `json:"dates"`
}

// head is what every screen of a property begins with.
func (p *property) head(ctx context.Context, s *app.Session, _ question) (any, error) {
	behind, err := s.Behind(ctx)
	if err != nil {
		return nil, err
	}
	seasons := []seasonHead{}
	for _, season := range s.Property.Seasons {
		seasons = append(seasons, seasonHead{season.Name, season.Span.Words()})
	}
	units := make([]string, len(s.Units))
	for i := range s.Units {
		units[i] = s.Units[i].ID
	}
	return map[string]any{
		"id": p.id, "stamp": s.Stamp(), "behind": behind, "property": s.Property.Name, "place": s.Property.Place, "owner": s.Property.Owner,
		"today": s.Today, "program_year": s.Property.YearOf(s.Today), "seasons": seasons, "units": units,
		"plans": len(s.Plans), "burns": len(s.Records), "contracts": len(s.Contracts), "has_shapes": len(s.Shapes) > 0, "cautions": view.Cautions(),
		"ignitions": habitat.IgnitionPatterns(), "kinds": habitat.RecordKinds(),
	}, nil
}

// season is what the landowner's screen shows.
func (p *property) season(ctx context.Context, s *app.Session, _ question) (any, error) {
	due, err := s.Due(ctx, app.DueOptions{})
	if err != nil {
		return nil, err
	}
	return map[string]any{"due": due, "contacts": s.ContactList()}, nil
}

// plan is the whole plan, as show prints it.
func (p *property) plan(ctx context.Context, _ *app.Session, q question) (any, error) {
	c, err := p.planned(ctx, q)
	if err != nil {
		return nil, err
	}
	if q.text("brief") != "" { // what the draft says of every unit and year already
		brief := *c.Program
		brief.Units = nil
		return &brief, nil
	}
	return c.Program, nil
}

// planned gives what tables and maps show of the plan that a question names.
func (p *property) planned(ctx context.Context, q question) (*app.Contents, error) {
	number, err := q.number("number")
	if err != nil {
		return nil, err
	}
	if c := p.contents[number]; c != nil {
		return c, nil
	}
	if p.ofPlan == nil || p.ofPlanNumber != number {
		c, err := p.session.PlanContents(ctx, number)
		if err != nil {
			return nil, err
		}
		p.ofPlan, p.ofPlanNumber = c, number
	}
	return p.ofPlan, nil
}

func (p *property) plans(_ context.Context, s *app.Session, _ question) (any, error) {
	return compactSheet(table.PlansSheet(s.PlanList()))
}

// beside sets the adopted plan and every draft side by side.
func (p *property) beside(ctx context.Context, s *app.Session, _ question) (any, error) {
	return s.Beside(ctx, nil)
}

// drawn is a map with the paths to draw it by.
type drawn struct {
	*view.Map
	Parts *svgmap.Parts `json:"parts"`
}

// drawMap gives the ground of a plan with what every unit does in every year.
func (p *property) drawMap(ctx context.Context, _ *app.Session, q question) (any, error) {
	c, err := p.planned(ctx, q)
	if err != nil {
		return nil, err
	}
	m, err := c.Map(0)
	if err != nil {
		return nil, err
	}
	if q.text("brief") != "" {
		m.Years = nil
	}
	return drawn{m, svgmap.NewParts(&svgmap.Sheet{Map: *m, Width: mapWidth})}, nil
}

// mapWidth is that of the grid of a drawn map; the page scales it.
const mapWidth = 1000

// ground is the map without a plan, with the tables beside it.
func (p *property) ground(ctx context.Context, s *app.Session, _ question) (any, error) {
	current := s.Current()
	m := view.Map{Title: s.Property.Name, Places: current.Places}
	for i := range s.Units {
		m.Units = append(m.Units, view.MapUnit{Unit: s.Units[i].ID, Shape: current.Shapes[s.Units[i].ID]})
	}
	for _, standing := range current.Standing {
		m.Standing = append(m.Standing, standing.Lines...)
	}
	rows, err := s.PlaceRows("", 0)
	if err != nil {
		return nil, err
	}
	places, err := compactSheet(table.Places(rows))
	if err != nil {
		return nil, err
	}
	units, err := compactSheet(table.AgedUnitsFile(s.UnitRows()))
	if err != nil {
		return nil, err
	}
	standing, err := compactSheet(table.StandingBreaks(s.StandingBreaks()))
	if err != nil {
		return nil, err
	}
	answer := map[string]any{"units": units, "places": places, "standing": standing, "pairs": keptPairs(s), "cautions": view.Cautions()}
	if len(current.Shapes) > 0 {
		answer["parts"] = svgmap.NewParts(&svgmap.Sheet{Map: m, Width: mapWidth})
		report, err := s.BreakReport(ctx, app.BreakOptions{Tolerance: ground.DefaultTolerance})
		if err != nil {
			return nil, err
		}
		rows, err := compactSheet(table.Breaks(report))
		if err != nil {
			return nil, err
		}
		answer["breaks"] = map[string]any{"title": report.Title(), "basis": report.Basis(), "rows": rows}
		borders, err := s.Borders(ctx, app.BorderOptions{Tolerance: ground.DefaultTolerance})
		if err != nil {
			return nil, err
		}
		if answer["borders"], err = compactSheet(table.Borders(borders)); err != nil {
			return nil, err
		}
	}
	return answer, nil
}

func (p *property) units(_ context.Context, s *app.Session, _ question) (any, error) {
	return compactSheet(table.AgedUnitsFile(s.UnitRows()))
}

func (p *property) burns(_ context.Context, s *app.Session, q question) (any, error) {
	records, err := s.BurnsOf(q.text("unit"))
	if err != nil {
		return nil, err
	}
	return compactSheet(table.NumberedRecords(&s.Property, records))
}

func (p *property) card(ctx context.Context, s *app.Session, q question) (any, error) {
	if q.text("unit") == "" {
		return nil, &badRequestError{"unit: it is missing; accepts the name of a unit"}
	}
	card, err := s.Card(ctx, app.CardOptions{Unit: q.text("unit"), Season: q.text("season")})
	if err != nil {
		return nil, err
	}
	return card.Wind, nil
}

// whySeconds is how long the second solve of a question why may take.
const whySeconds = 8.0

// why says why a unit burns or rests in a year of the adopted plan. The second solve
// runs through a session of its own: screens are read meanwhile.
func (p *property) why(w http.ResponseWriter, r *http.Request) {
	in, err := planOfRequest(r)
	var text json.RawMessage
	if err == nil {
		var v *view.Why
		if v, err = p.whyOf(r.Context(), in); err == nil {
			text, err = compact(func(b *bytes.Buffer) error { return table.WriteJSON(b, v) })
		}
	}
	if err != nil {
		writeFault(w, err)
		return
	}
	writeJSON(w, http.StatusOK, text)
}

func (p *property) whyOf(ctx context.Context, in planOf) (v *view.Why, err error) {
	seconds := whySeconds
	settings, err := (&app.SolverOptions{Seconds: &seconds}).Settings()
	if err != nil {
		return nil, err
	}
	from, err := p.server.options.Environment()
	if err != nil {
		return nil, err
	}
	s, err := app.Open(ctx, p.path, app.ToRead, from)
	if err != nil {
		return nil, err
	}
	v, err = s.Why(ctx, app.WhyOptions{Unit: in.Unit, Year: in.Year, Solver: settings})
	return v, errors.Join(err, s.Close())
}

// history is every version of a record.
func (p *property) history(w http.ResponseWriter, r *http.Request) {
	number, err := strconv.ParseInt(r.PathValue("number"), 10, 64)
	if err != nil {
		writeFault(w, &badRequestError{"number: it is not that of a burn"})
		return
	}
	p.answer(w, r, fmt.Sprintf("history %d", number), func(s *app.Session) (any, error) {
		versions, err := s.BurnHistory(r.Context(), number)
		if err != nil {
			return nil, err
		}
		type version struct {
			view.BurnVersion
			Since []string `json:"since_before"`
		}
		all := make([]version, len(versions))
		for i := range versions {
			all[i] = version{versions[i], []string{}}
			if i > 0 {
				all[i].Since = versions[i].Since(&versions[i-1])
			}
		}
		return all, nil
	})
}

// paperHead is a paper that can be made.
type paperHead struct {
	File  string `json:"file"`
	About string `json:"about"`
}

// papers lists those that the adopted plan has something for.
func (p *property) papers(ctx context.Context, s *app.Session, _ question) (any, error) {
	c, err := p.of(ctx, 0)
	if err != nil {
		return nil, err
	}
	all := []paperHead{}
	for _, paper := range p.server.options.Papers {
		if paper.Has == nil || paper.Has(c) {
			all = append(all, paperHead{paper.File, paper.About})
		}
	}
	contracts := []string{}
	for i := range s.Contracts {
		contracts = append(contracts, s.Contracts[i].Name)
	}
	return map[string]any{"papers": all, "contracts": contracts, "stamp": s.Stamp(), "made_from": s.Stamp().Change(), "cautions": view.Cautions()}, nil
}

// paper makes a paper and hands it over as a file.
func (p *property) paper(w http.ResponseWriter, r *http.Request) {
	for _, paper := range p.server.options.Papers {
		if paper.File != r.PathValue("file") {
			continue
		}
		var b bytes.Buffer
		err := p.read(r.Context(), func(s *app.Session) error {
			if err := app.CheckSeals(r.Context(), s.Store); err != nil {
				return err
			}
			c, err := p.of(r.Context(), 0)
			if err != nil {
				return err
			}
			return paper.Write(r.Context(), &b, c)
		})
		if errors.Is(err, app.ErrNothing) {
			err = &unknownError{fmt.Sprintf("%s: there is nothing to write in it for this property", paper.File)}
		}
		if err != nil {
			writeFault(w, err)
			return
		}
		writeFile(w, p.fileWord()+"-"+paper.File, b.Bytes())
		return
	}
	writeFault(w, &unknownError{"there is no such paper"})
}

// fileWord is the property's part of the names of its papers.
func (p *property) fileWord() string {
	return strings.Map(func(r rune) rune {
		if r < 0x80 && (r == '-' || r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z') {
			return r
		}
		return '-'
	}, p.id)
}

// compactSheet gives a table as the commands print it with --json.
func compactSheet(sheet *table.Sheet) (json.RawMessage, error) {
	return compact(func(b *bytes.Buffer) error { return sheet.Write(b, table.Options{Format: table.JSON}) })
}
