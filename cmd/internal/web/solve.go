package web

import (
	"context"
	"errors"
	"math"
	"net/http"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
)

// planWish asks for a new plan.
type planWish struct {
	Years int              `json:"years"`
	From  date.ProgramYear `json:"from"`
	Note  string           `json:"note"`
}

// planState is what pages hear of the making of a plan.
type planState struct {
	Doing string `json:"doing,omitempty"`
	// Cost, Bound and Gap are those so far; nil before the first plan.
	Cost  *float64 `json:"cost_acre_years,omitempty"`
	Bound *float64 `json:"bound_acre_years,omitempty"`
	Gap   *float64 `json:"gap,omitempty"`
	// IsOver says that the work ended, Plan with which plan, Fault with what error.
	IsOver bool   `json:"over"`
	Plan   int    `json:"plan,omitempty"`
	Fault  *fault `json:"error,omitempty"`
}

// planSeconds is when a plan that the page asks for is kept as it is.
const planSeconds = 60.0

// tellEvery is how often pages hear how far a solve has come.
const tellEvery = 150 * time.Millisecond

// makePlan solves the property's problem and keeps the plan. The answer says that the
// work began; pages hear how far it has come.
func (p *property) makePlan(w http.ResponseWriter, r *http.Request) {
	var in planWish
	if err := decode(r, &in); err != nil {
		writeFault(w, err)
		return
	}
	seconds := planSeconds
	settings, err := (&app.SolverOptions{Seconds: &seconds}).Settings()
	if err != nil {
		writeFault(w, err)
		return
	}
	p.solve(func(ctx context.Context) {
		o := app.PlanOptions{Horizon: app.Horizon{Years: in.Years, From: in.From}, Solver: settings, Note: in.Note, AskCaps: true}
		var kept *app.StoredPlan
		err := spared(func() (err error) {
			kept, err = p.solved(ctx, o)
			return err
		})
		end := planState{IsOver: true}
		if kept != nil {
			end.Plan = kept.Number
		}
		var stopped *app.Interrupted
		if err != nil && !errors.As(err, &stopped) {
			f, _ := newFault(err)
			end.Fault = &f
		}
		p.say("plan", end)
	})
	writeJSON(w, http.StatusAccepted, map[string]bool{"begun": true})
}

// solved makes the plan through a session of its own: screens are read meanwhile.
func (p *property) solved(ctx context.Context, o app.PlanOptions) (*app.StoredPlan, error) {
	from, err := p.server.options.Environment()
	if err != nil {
		return nil, err
	}
	from.Progress = p.server.tellProgress("plan", p.id)
	s, err := app.Open(ctx, p.path, app.ToChange, from)
	if err != nil {
		return nil, err
	}
	kept, err := s.MakePlan(ctx, o)
	return kept, errors.Join(err, s.Close())
}

// tellProgress gives what tells the pages how far the making of a plan has come.
func (s *Server) tellProgress(kind, property string) func(app.Progress) {
	var last time.Time
	return func(now app.Progress) {
		if time.Since(last) < tellEvery {
			return
		}
		last = time.Now()
		state := planState{Doing: now.Doing}
		if s := now.Solve; s != nil && !math.IsInf(s.Cost, 0) && !math.IsNaN(s.Gap) && !math.IsInf(s.Gap, 0) && !math.IsInf(s.Bound, 0) {
			state.Cost, state.Bound, state.Gap = &s.Cost, &s.Bound, &s.Gap
		}
		s.hub.publish(Event{Kind: kind, Property: property, Data: state})
	}
}
