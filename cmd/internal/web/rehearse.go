package web

import (
	"context"
	"errors"
	"net/http"
	"time"

	"emberquilt/cmd/internal/app"
)

// rehearsing is what the screen of rehearsals shows: what is kept with the adopted
// plan, and what can be asked.
func (p *property) rehearsing(ctx context.Context, s *app.Session, _ question) (any, error) {
	return s.Rehearsing(ctx)
}

// rehearsalWish asks for a rehearsal, in the words of the command.
type rehearsalWish struct {
	Futures      int                `json:"futures"`
	Years        int                `json:"years"`
	Seed         uint64             `json:"seed"`
	Rules        []string           `json:"rules"`
	SecondChance bool               `json:"second_chance"`
	Ahead        bool               `json:"ahead"`
	Blocks       int                `json:"blocks"`
	Lost         map[string]float64 `json:"lost_days"`
	Wildfire     float64            `json:"wildfire"`
}

// rehearsalState is what pages hear of a rehearsal under way.
type rehearsalState struct {
	Doing string `json:"doing,omitempty"`
	Done  int    `json:"done"`
	Of    int    `json:"of"`
	// IsOver says that the work ended, Futures how many are kept, Fault with what
	// error.
	IsOver  bool   `json:"over"`
	Futures int    `json:"futures"`
	Fault   *fault `json:"error,omitempty"`
}

// rehearse plays the adopted plan. The answer says that the work began; pages hear how
// far it has come.
func (p *property) rehearse(w http.ResponseWriter, r *http.Request) {
	var in rehearsalWish
	if err := decode(r, &in); err != nil {
		writeFault(w, err)
		return
	}
	rules, err := app.ParseRules(in.Rules, in.SecondChance, in.Ahead)
	if err != nil {
		writeFault(w, err)
		return
	}
	o := app.RehearseOptions{Futures: in.Futures, Years: in.Years, Seed: in.Seed, Rules: rules, Blocks: in.Blocks, Lost: in.Lost, Wildfire: in.Wildfire}
	p.solve(func(ctx context.Context) {
		end := rehearsalState{IsOver: true}
		err := spared(func() (err error) {
			end.Futures, err = p.rehearsed(ctx, o)
			return err
		})
		var stopped *app.Interrupted
		if err != nil && !errors.As(err, &stopped) {
			f, _ := newFault(err)
			end.Fault = &f
		}
		p.say("rehearsal", end)
	})
	writeJSON(w, http.StatusAccepted, map[string]bool{"begun": true})
}

// rehearsed rehearses through a session of its own, and gives how many futures are
// kept.
func (p *property) rehearsed(ctx context.Context, o app.RehearseOptions) (futures int, err error) {
	from, err := p.server.options.Environment()
	if err != nil {
		return 0, err
	}
	var last time.Time
	from.Progress = func(now app.Progress) {
		if now.Of == 0 || now.Done < now.Of && time.Since(last) < tellEvery {
			return
		}
		last = time.Now()
		p.say("rehearsal", rehearsalState{Doing: now.Doing, Done: now.Done, Of: now.Of})
	}
	s, err := app.Open(ctx, p.path, app.ToChange, from)
	if err != nil {
		return 0, err
	}
	kept, err := s.Rehearse(ctx, o)
	if kept != nil {
		futures = kept.Futures
	}
	return futures, errors.Join(err, s.Close())
}

// stopRehearsal ends what the property is solving; the futures that are done are kept.
func (p *property) stopRehearsal(w http.ResponseWriter, _ *http.Request) {
	p.stopSolve()
	writeJSON(w, http.StatusAccepted, map[string]bool{"stopped": true})
}
