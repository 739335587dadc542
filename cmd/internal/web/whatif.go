package web

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
	"emberquilt/habitat/quantity"
	"emberquilt/report/view"
)

// whatIf registers what the screen of what-ifs asks. Each question is answered by
// solves, one question of a property at a time; pages hear the answer as an event.
func (s *Server) whatIf(mux *http.ServeMux) {
	s.reads(mux, "what-if", (*property).whatIfs)
	mux.HandleFunc("POST /api/p/{id}/what-if/{what}", s.within((*property).askWhatIf))
}

// whatIfs gives the plans side by side, and what questions can name.
func (p *property) whatIfs(ctx context.Context, s *app.Session, _ question) (any, error) {
	answer := map[string]any{"beside": nil, "overdue": []string{}, "cautions": view.Cautions()}
	beside, err := s.Beside(ctx, nil)
	if err != nil {
		// Locks that clash can be asked about without a plan.
		if answer["missing"], err = advice(err); err != nil {
			return nil, err
		}
		return answer, nil
	}
	answer["beside"] = beside
	c, err := p.of(ctx, 0)
	if err != nil {
		if _, err := advice(err); err != nil {
			return nil, err
		}
		return answer, nil
	}
	names := []string{}
	for i := range c.Program.Overdue {
		names = append(names, c.Program.Overdue[i].Unit)
	}
	answer["overdue"] = names
	return answer, nil
}

// whatIfWish is a question as it was typed.
type whatIfWish struct {
	// Unit is that of missed burns, empty for all; or one that is overdue, empty for
	// locks that clash.
	Unit    string `json:"unit"`
	Seconds string `json:"seconds"`
	// Within, Count and FirstYears say which other plans are looked for, Keep keeps them.
	Within     string `json:"within"`
	Count      string `json:"count"`
	FirstYears string `json:"first_years"`
	Keep       bool   `json:"keep"`
	// Name, BurnDays, Close and Caps are a what-if's, Years, From and Note its plan's.
	Name     string   `json:"name"`
	BurnDays string   `json:"burn_days"`
	Close    []string `json:"close"`
	Caps     []string `json:"caps"`
	Years    string   `json:"years"`
	From     string   `json:"from"`
	Note     string   `json:"note"`
}

// whatIfState is what pages hear of a question.
type whatIfState struct {
	What  string `json:"what"`
	Doing string `json:"doing,omitempty"`
	// IsOver says that the work ended, Answer with what, Fault with what error; an
	// answer beside IsStopped is what was found until then.
	IsOver    bool          `json:"over"`
	Answer    *whatIfAnswer `json:"answer,omitempty"`
	IsStopped bool          `json:"stopped,omitempty"`
	Fault     *fault        `json:"error,omitempty"`
}

// whatIfAnswer is an answer in words, and the plans that were kept.
type whatIfAnswer struct {
	Said     []saidWords `json:"said"`
	Plans    []int       `json:"plans"`
	Cautions []string    `json:"cautions"`
}

// saidWords is a sentence, and what stands below it.
type saidWords struct {
	Head  string   `json:"head"`
	Items []string `json:"items"`
}

func (a *whatIfAnswer) say(head string, items ...string) {
	a.Said = append(a.Said, saidWords{head, append([]string{}, items...)})
}

// whatIfSeconds is how long a question may take where nobody says.
const whatIfSeconds = 20.0

// typed reads a number as it was typed; otherwise is given for none.
func typed(option, accepts, text string, otherwise float64) (float64, error) {
	if text = strings.TrimSpace(text); text == "" {
		return otherwise, nil
	}
	v, err := quantity.Parse(text)
	if err != nil {
		return 0, optionFault(option, accepts, "%q is not a number", text)
	}
	return v, nil
}

// typedWhole reads a whole number as it was typed.
func typedWhole(option, accepts, text string, otherwise int) (int, error) {
	if text = strings.TrimSpace(text); text == "" {
		return otherwise, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		return 0, optionFault(option, accepts, "%q is not a whole number", text)
	}
	return n, nil
}

// whatIfQuestion answers one question within a session of its own.
type whatIfQuestion struct {
	access app.Access
	ask    func(ctx context.Context, s *app.Session, a *whatIfAnswer) error
}

// read turns typed texts into a question.
func (in *whatIfWish) read(what string) (q whatIfQuestion, trial *app.PlanOptions, err error) {
	seconds, err := typed("seconds", "a number of seconds above 0", in.Seconds, whatIfSeconds)
	if err != nil {
		return q, nil, err
	}
	solver, err := (&app.SolverOptions{Seconds: &seconds}).Settings()
	if err != nil {
		return q, nil, err
	}
	q.access = app.ToRead
	switch what {
	case "missed":
		q.ask = func(ctx context.Context, s *app.Session, a *whatIfAnswer) error {
			all, err := s.Missed(ctx, app.MissedOptions{Solver: solver, Unit: in.Unit})
			for i := range all {
				a.say(all[i].Words())
			}
			if len(all) == 0 && err == nil {
				a.say(view.NoneMissed)
			}
			return err
		}
	case "fix":
		q.ask = func(ctx context.Context, s *app.Session, a *whatIfAnswer) error {
			v, err := s.Fix(ctx, app.FixOptions{Solver: solver, Unit: in.Unit})
			if v != nil {
				a.say(v.Head(), v.Changes...)
			}
			return err
		}
	case "alternatives":
		o := app.AlternativeOptions{Solver: solver, Keep: in.Keep}
		if in.Keep {
			q.access = app.ToChange
		}
		if o.Within, err = typed("within", "a share above 0, such as 0.05", in.Within, app.UsualWithin); err != nil {
			return q, nil, err
		}
		if o.Count, err = typedWhole("count", "1 to 20 plans", in.Count, app.UsualAlternatives); err != nil {
			return q, nil, err
		}
		if o.FirstYears, err = typedWhole("first-years", "1 year or more", in.FirstYears, app.UsualFirstYears); err != nil {
			return q, nil, err
		}
		if err := o.Validate(); err != nil {
			return q, nil, err
		}
		q.ask = func(ctx context.Context, s *app.Session, a *whatIfAnswer) error {
			v, err := s.Alternatives(ctx, o)
			if v == nil {
				return err
			}
			for i := range v.Plans {
				a.say(v.Head(i), v.Plans[i].Differs...)
				if v.Plans[i].Plan > 0 {
					a.Plans = append(a.Plans, v.Plans[i].Plan)
				}
			}
			if len(v.Plans) == 0 {
				a.say(v.None())
			}
			return err
		}
	case "try":
		trial = &app.PlanOptions{Solver: solver, Note: strings.TrimSpace(in.Note), Trial: in.Name, Close: in.Close, Caps: in.Caps}
		if trial.BurnDays, err = app.ParseBurnDays(strings.TrimSpace(in.BurnDays)); err != nil {
			return q, nil, err
		}
		if trial.Years, err = typedWhole("years", "a number of program years", in.Years, 0); err != nil {
			return q, nil, err
		}
		from, err := typedWhole("from", "the program year that comes first, such as 2027", in.From, 0)
		if err != nil {
			return q, nil, err
		}
		trial.From, q.access = date.ProgramYear(from), app.ToChange
		q.ask = func(ctx context.Context, s *app.Session, a *whatIfAnswer) error {
			kept, err := s.MakePlan(ctx, *trial)
			if kept == nil {
				return err
			}
			a.Plans = append(a.Plans, kept.Number)
			standing := s.Standings.Of(kept.Number)
			a.say(view.StandingWords(&standing, s.Adopted()), standing.Changed...)
			return err
		}
	default:
		return q, nil, &unknownError{"nothing of that kind is asked"}
	}
	return q, trial, nil
}

// askWhatIf begins to answer a question; what is wrong with it is said at once.
func (p *property) askWhatIf(w http.ResponseWriter, r *http.Request) {
	what := r.PathValue("what")
	if what == "stop" {
		p.stopSolve()
		writeJSON(w, http.StatusAccepted, map[string]bool{"stopped": true})
		return
	}
	var in whatIfWish
	err := decode(r, &in)
	var q whatIfQuestion
	var trial *app.PlanOptions
	if err == nil {
		q, trial, err = in.read(what)
	}
	if err == nil {
		err = p.read(r.Context(), func(s *app.Session) error {
			if trial != nil {
				return s.CheckTrial(trial)
			}
			if in.Unit == "" {
				return nil
			}
			_, err := app.FindUnit(s.Snapshot, in.Unit)
			return err
		})
	}
	if err != nil {
		writeFault(w, err)
		return
	}
	p.solve(func(ctx context.Context) {
		end := whatIfState{What: what, IsOver: true, Answer: &whatIfAnswer{Said: []saidWords{}, Plans: []int{}, Cautions: view.Cautions()}}
		err := spared(func() error { return p.answerWhatIf(ctx, what, q, end.Answer) })
		var stopped *app.Interrupted
		end.IsStopped = errors.As(err, &stopped)
		if err != nil && !end.IsStopped {
			f, _ := newFault(err)
			end.Fault, end.Answer = &f, nil
		}
		p.say("what-if", end)
	})
	writeJSON(w, http.StatusAccepted, map[string]bool{"begun": true})
}

// answerWhatIf answers through a session of its own: screens are read meanwhile.
func (p *property) answerWhatIf(ctx context.Context, what string, q whatIfQuestion, a *whatIfAnswer) error {
	from, err := p.server.options.Environment()
	if err != nil {
		return err
	}
	var last time.Time
	doing := ""
	from.Progress = func(now app.Progress) {
		if now.Doing == "" || now.Doing == doing && time.Since(last) < tellEvery {
			return
		}
		last, doing = time.Now(), now.Doing
		p.say("what-if", whatIfState{What: what, Doing: now.Doing})
	}
	s, err := app.Open(ctx, p.path, q.access, from)
	if err != nil {
		return err
	}
	return errors.Join(q.ask(ctx, s, a), s.Close())
}
