package web

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/ground/geofile"
	"emberquilt/habitat/quantity"
	"emberquilt/habitat/settings"
	"emberquilt/habitat/template"
	"emberquilt/report/table"
	"emberquilt/report/view"
)

// upkeep registers what the screen of the settings asks: the settings as their file,
// closures, whom to call, units that change, the standing of plans.
func (s *Server) upkeep(mux *http.ServeMux) {
	s.reads(mux, "settings", (*property).settings)
	writes(s, mux, "settings", changeSettings)
	writes(s, mux, "template", loadTemplate)
	writes(s, mux, "contacts", changeContacts)
	writes(s, mux, "units/{change}", changeUnit)
	sends(s, mux, "units/outlines", splitByOutlines)
	writes(s, mux, "closures", changeClosures)
	writes(s, mux, "plans/{number}/{standing}", decidePlan)
	mux.HandleFunc("GET /api/p/{id}/template", s.within((*property).template))
	mux.HandleFunc("GET /api/p/{id}/backup", s.within((*property).backup))
}

// settingsFile is how the text of the settings is named in errors.
const settingsFile = "settings"

// settings gives what the screen changes, as it stands.
func (p *property) settings(_ context.Context, s *app.Session, _ question) (any, error) {
	units, err := compactSheet(table.AgedUnitsFile(s.UnitRows()))
	if err != nil {
		return nil, err
	}
	plans, err := compactSheet(table.PlansSheet(s.PlanList()))
	if err != nil {
		return nil, err
	}
	return map[string]any{
		"text":     string(settings.Format(&s.Property)),
		"contacts": s.ContactList(),
		"units":    units,
		"plans":    plans,
		"closures": s.TypedClosures(),
		"cautions": view.Cautions(),
	}, nil
}

// settingsWish is the settings file as it is typed, and what comes of it.
type settingsWish struct {
	Text string `json:"text"`
	// Renames gives seasons that stand other names.
	Renames []struct {
		From string `json:"from"`
		To   string `json:"to"`
	} `json:"renames"`
	Because string `json:"because"`
	DryRun  bool   `json:"dry_run"`
}

func changeSettings(ctx context.Context, s *app.Session, in settingsWish, _ *http.Request) (any, error) {
	to, err := settings.Parse([]byte(in.Text), settingsFile)
	if err != nil {
		return nil, err
	}
	c := app.SettingsChange{To: &to, Because: in.Because, DryRun: in.DryRun}
	for _, r := range in.Renames {
		c.Renames = append(c.Renames, app.SeasonName{From: r.From, To: r.To})
	}
	changes, err := s.ChangeSettings(ctx, c)
	if err != nil {
		return nil, err
	}
	return differences(changes), nil
}

// differences says what became of settings.
func differences(changes []settings.Difference) map[string]any {
	words := []string{}
	for _, d := range changes {
		words = append(words, d.String())
	}
	return map[string]any{"changes": words}
}

// templateWish is a county template as its file, and what comes of it.
type templateWish struct {
	File   string `json:"file"`
	Text   string `json:"text"`
	DryRun bool   `json:"dry_run"`
}

func loadTemplate(ctx context.Context, s *app.Session, in templateWish, _ *http.Request) (any, error) {
	t, err := template.Read(strings.NewReader(in.Text), in.File)
	if err != nil {
		return nil, err
	}
	changes, err := s.ChangeSettings(ctx, app.SettingsChange{Template: t, DryRun: in.DryRun})
	if err != nil {
		return nil, err
	}
	return differences(changes), nil
}

// template hands over what of the property holds for its county too.
func (p *property) template(w http.ResponseWriter, r *http.Request) {
	q := question{r}
	var b bytes.Buffer
	name := ""
	err := p.read(r.Context(), func(s *app.Session) error {
		t, err := s.Template(q.text("county"), q.text("source"))
		if err != nil {
			return err
		}
		name = t.Name
		return template.Write(&b, t, &s.Property)
	})
	if err != nil {
		writeFault(w, err)
		return
	}
	writeFile(w, app.FirstFile(name)+".toml", b.Bytes())
}

// contactsWish is the whole list, in the order of calling.
type contactsWish struct {
	Contacts []habitat.Contact `json:"contacts"`
}

func changeContacts(ctx context.Context, s *app.Session, in contactsWish, _ *http.Request) (any, error) {
	return map[string]int{"contacts": len(in.Contacts)}, s.ReplaceContacts(ctx, in.Contacts)
}

// unitWish names units and what becomes of them, as it was typed.
type unitWish struct {
	Unit  string   `json:"unit"`
	Units []string `json:"units"`
	// Name is that of the unit that comes of it, Parts are those of a split.
	Name  string `json:"name"`
	Parts []struct {
		Name  string `json:"name"`
		Acres string `json:"acres"`
	} `json:"parts"`
	// From and Until bound the time in which a unit is the property's.
	From    *string `json:"from"`
	Until   *string `json:"until"`
	Because string  `json:"because"`
}

// changeUnit splits, merges, renames, retires, owns or deletes units.
func changeUnit(ctx context.Context, s *app.Session, in unitWish, r *http.Request) (any, error) {
	switch change := r.PathValue("change"); change {
	case "split":
		o := app.SplitOptions{Unit: in.Unit, Because: in.Because}
		for _, part := range in.Parts {
			if strings.TrimSpace(part.Name+part.Acres) == "" {
				continue
			}
			acres, err := quantity.Parse(strings.TrimSpace(part.Acres))
			if err != nil {
				return nil, optionFault("acres", "acres, such as 20.5", "%q of %q is not a number", part.Acres, part.Name)
			}
			o.Parts = append(o.Parts, app.UnitPiece{Name: strings.TrimSpace(part.Name), Acres: quantity.Acres(acres)})
		}
		return s.Split(ctx, o)
	case "merge":
		return s.Merge(ctx, app.MergeOptions{Units: in.Units, Into: in.Name, Because: in.Because})
	case "rename":
		return s.Rename(ctx, in.Unit, in.Name, in.Because)
	case "retire", "own":
		o := app.OwnOptions{Unit: in.Unit, Because: in.Because, Retire: change == "retire"}
		var err error
		if o.From, err = day("from", in.From); err != nil {
			return nil, err
		}
		if o.Until, err = day("until", in.Until); err != nil {
			return nil, err
		}
		if o.Retire && o.Until == nil {
			today := s.Today
			o.Until = &today
		}
		return s.Own(ctx, o)
	case "delete":
		return s.Delete(ctx, in.Unit, in.Because)
	default:
		return nil, &unknownError{"units do not change like that"}
	}
}

// standingWish says why a plan is adopted or discarded.
type standingWish struct {
	Because string `json:"because"`
}

func decidePlan(ctx context.Context, s *app.Session, in standingWish, r *http.Request) (any, error) {
	number, err := strconv.Atoi(r.PathValue("number"))
	if err != nil {
		return nil, &badRequestError{"number: it is not that of a plan"}
	}
	switch r.PathValue("standing") {
	case "adopt":
		_, _, err = s.Adopt(ctx, number, in.Because)
	case "discard":
		_, err = s.Discard(ctx, number, in.Because)
	default:
		return nil, &unknownError{"plans are adopted or discarded"}
	}
	return map[string]int{"plan": number}, err
}

// closuresWish is the whole list of closures.
type closuresWish struct {
	Closures []app.TypedClosure `json:"closures"`
	Because  string             `json:"because"`
	DryRun   bool               `json:"dry_run"`
}

func changeClosures(ctx context.Context, s *app.Session, in closuresWish, _ *http.Request) (any, error) {
	changes, err := s.ReplaceClosures(ctx, in.Closures, in.Because, in.DryRun)
	if err != nil {
		return nil, err
	}
	return differences(changes), nil
}

// outlinesWish names the unit that is split by the outlines of a file.
type outlinesWish struct {
	Unit    string `json:"unit"`
	Because string `json:"because"`
}

// splitByOutlines makes a part of each outline of a map file.
func splitByOutlines(ctx context.Context, s *app.Session, in outlinesWish, sent *sentFiles) (any, error) {
	names := slices.DeleteFunc(slices.Clone(sent.names), func(name string) bool { return isSidecar(name, sent.names) })
	if len(names) != 1 {
		return nil, optionFault("outlines", "one map file, all parts of a shapefile together", "%d map files came", len(names))
	}
	layer, err := geofile.Read(filepath.Join(sent.folder, names[0]), geofile.Options{})
	if err != nil {
		return nil, err
	}
	layer.File = names[0]
	o := app.SplitOptions{Unit: in.Unit, Because: in.Because}
	if err := o.TakeOutlines(layer); err != nil {
		return nil, err
	}
	return s.Split(ctx, o)
}

// advice turns an error that says what is missing into its words: a screen that shows
// other things as well goes on.
func advice(err error) (string, error) {
	var advised *app.AdvisedError
	if errors.As(err, &advised) {
		return advised.Fault.Found, nil
	}
	return "", err
}

// backup hands over a copy of the property file as it stands.
func (p *property) backup(w http.ResponseWriter, r *http.Request) {
	folder, err := app.TemporaryFolder()
	if err != nil {
		writeFault(w, err)
		return
	}
	defer os.RemoveAll(folder)
	copied := filepath.Join(folder, "copy"+extension)
	var data []byte
	if err = app.Backup(r.Context(), p.path, copied); err == nil {
		data, err = os.ReadFile(copied)
	}
	if err != nil {
		writeFault(w, withoutFolder(err, folder))
		return
	}
	writeFile(w, p.fileWord()+extension, data)
}
