package web

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"

	"emberquilt/cmd/internal/app"
	"emberquilt/habitat/date"
)

// decode reads the JSON body of a request, and nothing after it. A key that is not
// known is refused: a screen and its server are of one version.
func decode(r *http.Request, into any) error { return decodeFrom(r.Body, into) }

// strictly reads a JSON text as decode reads a body.
func strictly(text []byte, into any) error { return decodeFrom(bytes.NewReader(text), into) }

func decodeFrom(from io.Reader, into any) error {
	decoder := json.NewDecoder(from)
	decoder.DisallowUnknownFields()
	err := decoder.Decode(into)
	if err == nil {
		if _, more := decoder.Token(); errors.Is(more, io.EOF) {
			return nil
		}
		err = errors.New("something follows it")
	}
	var large *http.MaxBytesError
	var stalled *stalledError
	if errors.As(err, &large) || errors.As(err, &stalled) {
		return err
	}
	return &badRequestError{fmt.Sprintf("the request is not one of this page: %v", err)}
}

// writes registers a change: do is one transaction of the layer, and what it gives
// is the answer.
func writes[T any](s *Server, mux *http.ServeMux, name string, do func(ctx context.Context, s *app.Session, in T, r *http.Request) (any, error)) {
	mux.HandleFunc("POST /api/p/{id}/"+name, s.within(func(p *property, w http.ResponseWriter, r *http.Request) {
		var in T
		if err := decode(r, &in); err != nil {
			writeFault(w, err)
			return
		}
		var answer any
		// A change is carried out whole even where the page goes away meanwhile.
		ctx := context.WithoutCancel(r.Context())
		err := p.change(ctx, func(session *app.Session) (err error) {
			answer, err = do(ctx, session, in, r)
			return err
		})
		if err != nil {
			writeFault(w, err)
			return
		}
		writeJSON(w, http.StatusOK, answer)
	}))
}

// taskNote says that a task was done, or was not after all.
type taskNote struct {
	Unit string           `json:"unit"`
	Year date.ProgramYear `json:"year"`
	Task string           `json:"task"`
	Undo bool             `json:"undo"`
}

func noteTask(ctx context.Context, s *app.Session, in taskNote, _ *http.Request) (any, error) {
	done, err := s.NoteTask(ctx, app.TaskOptions{Unit: in.Unit, Year: in.Year, Task: in.Task, Undo: in.Undo})
	return map[string]any{"unit": done.Unit, "task": done.Task, "done_on": done.On}, err
}
