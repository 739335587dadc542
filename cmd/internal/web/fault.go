package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/source"
	"emberquilt/schedule/problem"
	"emberquilt/store"
)

// fault is an error as the page shows it: beside the place where the user is.
type fault struct {
	Errors []source.Line `json:"errors"`
	More   int           `json:"more,omitempty"`
	// Next names what helps, for a button: "make-plan"; often empty.
	Next string `json:"next,omitempty"`
	// Overlap says that the same request with "another": true goes through.
	Overlap bool `json:"overlap,omitempty"`
	// Contradictions are the values that both copies of a property changed: the same
	// request with a side for each goes through.
	Contradictions []contradiction `json:"contradictions,omitempty"`
}

// contradiction is a value that both copies of a property changed.
type contradiction struct {
	Name  string `json:"name"`
	Words string `json:"words"`
}

// brokenError is a fault of the program's own.
type brokenError struct{ panicked any }

func (e *brokenError) Error() string {
	return fmt.Sprintf("this is a fault of the program, not of your files: %v; what was begun is not kept", e.panicked)
}

// spared carries out work and gives a panic in it as an error: beside the request that
// asked for it, nothing that the program gets wrong ends the server with all its pages.
func spared(do func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &brokenError{p}
		}
	}()
	return do()
}

// unknownError is a path of the page that names nothing.
type unknownError struct{ what string }

func (e *unknownError) Error() string { return e.what }

// badRequestError is a request that no screen of ours makes.
type badRequestError struct{ what string }

func (e *badRequestError) Error() string { return e.what }

// newFault puts an error into the form of the page, with its status.
func newFault(err error) (f fault, status int) {
	f.Errors = []source.Line{}
	f.add(err)
	var advised *app.AdvisedError
	if errors.As(err, &advised) && (advised.Advice == app.MakeFirstPlan || advised.Advice == app.MakeNewPlan) {
		f.Next = "make-plan"
	}
	var overlap *app.OverlapError
	f.Overlap = errors.As(err, &overlap)
	var asked *store.ContradictionError
	if errors.As(err, &asked) {
		for i := range asked.All {
			f.Contradictions = append(f.Contradictions, contradiction{app.ContradictionName(&asked.All[i]), app.ContradictionWords(&asked.All[i])})
		}
	}
	return f, statusOf(err)
}

func (f *fault) add(err error) {
	var list *source.List
	var one *source.Error
	var option *app.OptionError
	var large *http.MaxBytesError
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range joined.Unwrap() {
			if e.Error() == err.Error() { // the others only say what kind it is
				f.add(e)
				return
			}
		}
		for _, e := range joined.Unwrap() {
			f.add(e)
		}
		return
	}
	switch {
	case errors.As(err, &large):
		f.Errors = append(f.Errors, source.Line{Found: fmt.Sprintf("the request is larger than %d MB; nothing was taken", large.Limit>>20), Accepts: fmt.Sprintf("up to %d MB", large.Limit>>20)})
	case errors.As(err, &list):
		for _, e := range list.Errors {
			f.add(e)
		}
		f.More += list.More
	case errors.As(err, &option):
		f.Errors = append(f.Errors, source.Line{Field: option.Option, Found: option.Found, Accepts: option.Accepts, Hint: option.Hint})
	case errors.As(err, &one):
		f.Errors = append(f.Errors, one.Listed())
	default:
		f.Errors = append(f.Errors, source.Line{Found: err.Error()})
	}
}

// statusOf turns an error into a status, as the command line does.
func statusOf(err error) int {
	var unknown *unknownError
	var bad *badRequestError
	var large *http.MaxBytesError
	var stalled *stalledError
	var option *app.OptionError
	var overlap *app.OverlapError
	var advised *app.AdvisedError
	var stale *staleError
	var asked *store.ContradictionError
	switch {
	case errors.As(err, &unknown):
		return http.StatusNotFound
	case errors.As(err, &large):
		return http.StatusRequestEntityTooLarge
	case errors.As(err, &stalled):
		return http.StatusRequestTimeout
	case errors.As(err, &stale), errors.As(err, &overlap), errors.As(err, &asked), errors.Is(err, store.ErrSameBurn):
		return http.StatusConflict
	case errors.Is(err, problem.ErrInfeasible), errors.As(err, &advised):
		return http.StatusUnprocessableEntity
	case errors.Is(err, store.ErrBusy):
		return http.StatusServiceUnavailable
	case errors.As(err, &option), errors.As(err, &bad), source.Is(err), errors.Is(err, store.ErrUnknown):
		return http.StatusBadRequest
	}
	return http.StatusInternalServerError
}

func writeFault(w http.ResponseWriter, err error) {
	f, status := newFault(err)
	writeJSON(w, status, map[string]fault{"error": f})
}

func writeJSON(w http.ResponseWriter, status int, v any) {
	text, err := json.Marshal(v)
	if err != nil {
		status, text = http.StatusInternalServerError, []byte(`{"error":{"errors":[{"found":"the answer cannot be written as JSON"}]}}`)
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	w.Write(text)
}
