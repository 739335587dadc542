package web

import (
	"context"
	"net/http"
	"strconv"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat"
	"emberquilt/habitat/date"
)

// editing registers what the editing of a plan asks. All tabs share the draft of a
// property, and hear of it as events of the kind draft.
func (s *Server) editing(mux *http.ServeMux) {
	edits(s, mux, "GET", "draft", func(ctx context.Context, e *app.Editor, s *app.Session, in planOf) (any, error) {
		return e.State(ctx, s, in.Plan)
	})
	edits(s, mux, "GET", "draft/choices", func(ctx context.Context, e *app.Editor, s *app.Session, in planOf) (any, error) {
		return e.Choices(ctx, s, in.Plan, in.Unit, in.Year)
	})
	edits(s, mux, "GET", "draft/moves", func(ctx context.Context, e *app.Editor, s *app.Session, in planOf) (any, error) {
		return e.Targets(ctx, s, in.Plan, in.Unit, in.Year)
	})
	edits(s, mux, "GET", "draft/compare", func(ctx context.Context, e *app.Editor, s *app.Session, in planOf) (any, error) {
		return e.Compare(ctx, s, in.Plan, in.Other)
	})
	edits(s, mux, "POST", "draft/edit", func(ctx context.Context, e *app.Editor, s *app.Session, in planOf) (any, error) {
		return e.Edit(ctx, s, in.Plan, in.Step)
	})
	edits(s, mux, "POST", "draft/undo", func(ctx context.Context, e *app.Editor, s *app.Session, _ planOf) (any, error) { return e.Undo(ctx, s) })
	edits(s, mux, "POST", "draft/redo", func(ctx context.Context, e *app.Editor, s *app.Session, _ planOf) (any, error) { return e.Redo(ctx, s) })
	edits(s, mux, "POST", "draft/discard", func(ctx context.Context, e *app.Editor, s *app.Session, _ planOf) (any, error) {
		return map[string]bool{"discarded": true}, e.Discard(ctx, s)
	})
	edits(s, mux, "POST", "draft/keep", func(ctx context.Context, e *app.Editor, s *app.Session, in planOf) (any, error) {
		kept, err := e.Keep(ctx, s, in.Note)
		if err != nil {
			return nil, err
		}
		return map[string]int{"plan": kept.Number}, nil
	})
	edits(s, mux, "POST", "draft/go-on", func(ctx context.Context, e *app.Editor, s *app.Session, _ planOf) (any, error) {
		return map[string]bool{"begun": true}, e.GoOn(ctx, s)
	})
	edits(s, mux, "POST", "draft/stop", func(_ context.Context, e *app.Editor, _ *app.Session, _ planOf) (any, error) {
		e.Stop()
		return map[string]bool{"stopped": true}, nil
	})
}

// planOf names a plan, a cell of it or an edit: the values of an address, or the body.
type planOf struct {
	Plan  int              `json:"plan"`
	Other int              `json:"other"`
	Unit  string           `json:"unit"`
	Year  date.ProgramYear `json:"year"`
	Step  habitat.EditStep `json:"step"`
	Note  string           `json:"note"`
}

// edits registers one question to the editor, or one change of the draft. Answers are
// not kept: a draft changes without the data.
func edits(s *Server, mux *http.ServeMux, method, name string, do func(context.Context, *app.Editor, *app.Session, planOf) (any, error)) {
	mux.HandleFunc(method+" /api/p/{id}/"+name, s.within(func(p *property, w http.ResponseWriter, r *http.Request) {
		in, err := planOfRequest(r)
		if err != nil {
			writeFault(w, err)
			return
		}
		ctx := r.Context()
		if method == http.MethodPost {
			ctx = context.WithoutCancel(ctx) // a change is carried out whole
		}
		var answer any
		err = p.change(ctx, func(session *app.Session) (err error) {
			answer, err = do(ctx, p.edit(), session, in)
			return err
		})
		if err != nil {
			writeFault(w, err)
			return
		}
		writeJSON(w, http.StatusOK, answer)
	}))
}

func planOfRequest(r *http.Request) (in planOf, err error) {
	if r.Method == http.MethodPost {
		return in, decode(r, &in)
	}
	q := question{r}
	in.Unit = q.text("unit")
	if in.Plan, err = q.number("plan"); err != nil {
		return in, err
	}
	if in.Other, err = q.number("other"); err != nil {
		return in, err
	}
	if text := q.text("year"); text != "" {
		year, err := strconv.Atoi(text)
		if err != nil {
			return in, &badRequestError{"year: it is not a program year"}
		}
		in.Year = date.ProgramYear(year)
	}
	return in, nil
}

// edit gives the editor of the property. The caller holds the lock.
func (p *property) edit() *app.Editor {
	if p.editor == nil {
		p.editor = &app.Editor{Start: p.solve, Halt: p.stopSolve, Tell: func(news app.EditNews) { p.say("draft", news) }}
	}
	return p.editor
}
