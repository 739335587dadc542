package web

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/ground"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// agenda registers what is asked of the week at hand, of the journal, of who makes
// changes, and of what units are to each other.
func (s *Server) agenda(mux *http.ServeMux) {
	s.reads(mux, "week", (*property).week)
	s.reads(mux, "changes", (*property).changes)
	writes(s, mux, "neighbors", pairUnits)
	writes(s, mux, "neighbors/shapes", pairByShapes)
	mux.HandleFunc("POST /api/me", s.keepName)
}

// week says what the seven days from today on ask for.
func (p *property) week(ctx context.Context, _ *app.Session, _ question) (any, error) {
	c, err := p.of(ctx, 0)
	if err != nil {
		return nil, err
	}
	week, err := c.Week(ctx)
	if err != nil {
		return nil, err
	}
	return map[string]any{"week": week, "open": append([]string{}, week.OpenLines()...), "by_task": append([]view.WeekTask{}, week.ByTask()...), "none": map[string]string{"open": view.NoOpenWindow, "tasks": view.NothingToDo, "slipped": view.NothingSlipped}}, nil
}

// shownChange is a change of the property in words.
type shownChange struct {
	Heading string   `json:"heading"`
	What    []string `json:"what"`
}

// mostListed is how many changes are listed at once, mostWritten how many values of
// each.
const (
	mostListed  = 100
	mostWritten = 200
)

// changes lists who changed what, the newest change first.
func (p *property) changes(ctx context.Context, s *app.Session, q question) (any, error) {
	o := app.ChangesOptions{Unit: q.text("unit")}
	if since := q.text("since"); since != "" {
		on, err := day("since", &since)
		if err != nil {
			return nil, err
		}
		o.Since = *on
	}
	all, err := s.Changes(ctx, o)
	if err != nil {
		return nil, err
	}
	most := mostListed
	if q.text("all") != "" {
		most = len(all)
	}
	shown := []shownChange{}
	for i := range slices.Backward(all) {
		if len(shown) == most {
			break
		}
		shown = append(shown, shownChange{all[i].Heading(), append([]string{}, all[i].What(mostWritten)...)})
	}
	return map[string]any{"changes": shown, "count": len(all), "cautions": view.Cautions()}, nil
}

// nameWish is the name of who makes changes from now on; empty means nobody named.
type nameWish struct {
	Name string `json:"name"`
}

// keepName keeps who makes changes, for this user of this machine.
func (s *Server) keepName(w http.ResponseWriter, r *http.Request) {
	var in nameWish
	err := decode(r, &in)
	if name := strings.TrimSpace(in.Name); err == nil {
		if name != "" {
			if fault := habitat.ValidateName("name", name); fault != nil {
				err = optionFault("name", "a name in one line", "%v", fault)
			}
		}
		switch {
		case err != nil:
		case s.options.KeepName == nil:
			err = &unknownError{"no name can be kept here"}
		default:
			err = s.options.KeepName(name)
		}
	}
	if err != nil {
		writeFault(w, err)
		return
	}
	writeJSON(w, http.StatusOK, map[string]string{"by": s.by()})
}

// by is who makes changes, as they said; empty where nobody did.
func (s *Server) by() string {
	from, err := s.options.Environment()
	if err != nil {
		return "" // what is wrong is said where something is asked
	}
	return from.By
}

// pairWish says what two units are to each other.
type pairWish struct {
	Units   [2]string        `json:"units"`
	As      habitat.PairKind `json:"as"`
	Because string           `json:"because"`
	DryRun  bool             `json:"dry_run"`
}

func pairUnits(ctx context.Context, s *app.Session, in pairWish, _ *http.Request) (any, error) {
	v, err := s.Pair(ctx, app.PairOptions{Units: in.Units, As: in.As, Tolerance: ground.DefaultTolerance, Because: in.Because, DryRun: in.DryRun})
	var same *app.SameUnitError
	if errors.As(err, &same) {
		err = optionFault("units", "two different units", "%s is paired with itself", same.Unit)
	}
	return pairsChanged(v, err)
}

// shapesWish says which boundaries become pairs.
type shapesWish struct {
	LongerThan string   `json:"longer_than"`
	Apart      bool     `json:"apart"`
	ApartWith  []string `json:"apart_with"`
	Because    string   `json:"because"`
	DryRun     bool     `json:"dry_run"`
}

func pairByShapes(ctx context.Context, s *app.Session, in shapesWish, _ *http.Request) (any, error) {
	o := app.PairRule{BorderOptions: app.BorderOptions{Tolerance: ground.DefaultTolerance}, Apart: in.Apart, ApartWith: in.ApartWith, Because: in.Because, DryRun: in.DryRun}
	if text := strings.TrimSpace(in.LongerThan); text != "" {
		feet, err := quantity.Parse(text)
		if err != nil {
			return nil, optionFault("longer-than", "feet, such as 200", "%q is not a number", in.LongerThan)
		}
		o.LongerThan = quantity.Feet(feet)
	}
	return pairsChanged(s.KeepPairs(ctx, o))
}

func pairsChanged(v *view.PairChanges, err error) (any, error) {
	if err != nil {
		return nil, err
	}
	return map[string]any{"words": v.Words(), "changes": len(v.Changes)}, nil
}

// keptPair is what two units are to each other.
type keptPair struct {
	A    string           `json:"unit_a"`
	B    string           `json:"unit_b"`
	Kind habitat.PairKind `json:"kept_as"`
	Feet quantity.Feet    `json:"shared_feet"`
}

func keptPairs(s *app.Session) []keptPair {
	all := []keptPair{}
	for _, pair := range s.Pairs {
		all = append(all, keptPair{pair.A, pair.B, pair.Kind, pair.SharedFeet})
	}
	return all
}
