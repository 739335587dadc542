package web

import (
	"net/http"

	"emberquilt/cmd/internal/app"
)

// readAhead begins to read what the screen of a document asks for first, while the
// browser reads the document and its modules. It shows nothing: who asks waits for it, is
// answered from the file as it then is, and is told what is wrong with it, also where
// reading ahead broke.
func (s *Server) readAhead(r *http.Request) {
	id, screen := r.PathValue("id"), s.screenAt(r)
	if files := s.files(); id == "" && screen == "season" && len(files) == 1 {
		id = propertyID(files[0])
	}
	if id == "" {
		return
	}
	p, err := s.find(id)
	if err != nil {
		return
	}
	s.working.Add(1)
	go func() {
		defer s.working.Done()
		spared(func() error { return p.readFor(screen, r) })
	}()
}

// readFor reads what a screen asks for first.
func (p *property) readFor(screen string, r *http.Request) error {
	ctx := p.server.base
	switch screen {
	case "plan":
		return p.change(ctx, func(session *app.Session) error { return p.edit().Follow(ctx, session, 0) })
	case "season":
		return p.read(ctx, func(*app.Session) error {
			_, err := p.known(seasonKey, func(session *app.Session) (any, error) { return p.season(ctx, session, question{r}) })
			return err
		})
	}
	return p.read(ctx, func(*app.Session) error { return nil })
}

// seasonKey is that of the season's answer without values.
const seasonKey = "season?"
